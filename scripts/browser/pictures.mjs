// The README's pictures: each way in on a desk, one on a telephone.
import { launch, address } from './open.mjs';

const [file, folder] = process.argv.slice(2);
const browser = await launch();
const desk = await browser.newPage({ viewport: { width: 1280, height: 1290 }, deviceScaleFactor: 1 });
await desk.goto(address(file, 'here'));
await desk.screenshot({ path: `${folder}/report-is-it-here.png` });
const pig = desk.locator('[data-pig-row] button[data-pig]').first();
if (await pig.count()) {
  await pig.click();
  await desk.screenshot({ path: `${folder}/report-one-pig.png` });
}
for (const [way, name] of [['first', 'where-first'], ['looked', 'have-we-looked']]) {
  await desk.click(`.ways a[href="#${way}"]`);
  await desk.screenshot({ path: `${folder}/report-${name}.png` });
}
const slim = await browser.newPage({ viewport: { width: 360, height: 740 }, deviceScaleFactor: 2 });
await slim.goto(address(file, 'here'));
await slim.screenshot({ path: `${folder}/report-telephone.png` });
await browser.close();
console.log(`pictures written to ${folder}`);
