// Starts Chromium as the checks and the pictures need it: no screen, no network of its own.
import { createRequire } from 'node:module';
import { pathToFileURL } from 'node:url';

const cache = process.env.PIGNUT_BROWSER_CACHE;
const chromium = process.env.PIGNUT_CHROMIUM;
if (!cache || !chromium) {
  console.error('run scripts/browser-test or scripts/take-screenshots, which prepare the browser');
  process.exit(2);
}
export const require = createRequire(`${cache}/`);
const { chromium: driver } = require('playwright-core');

export function launch() {
  return driver.launch({
    executablePath: chromium,
    args: [
      '--headless', '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run',
      '--disable-background-networking', '--disable-component-update', '--disable-sync'
    ]
  });
}

export const address = (file, way) => pathToFileURL(file).href + (way ? `#${way}` : '');
