// What an officer does with the forms, checked in a real browser: position given, refused, no network, a closed tab.
// One line a check; ends with 1 if any fails. Writes the exported CSV to the path given last.
import { readFileSync, writeFileSync } from 'node:fs';
import { launch, address, require } from './open.mjs';

const [folder, exported] = process.argv.slice(2);
const form = `${folder}/field-form.html`;
const browser = await launch();
const failures = [];
let checks = 0;
function check(what, holds, seen) {
  checks += 1;
  console.log(`${holds ? 'ok  ' : 'FAIL'} ${what}${holds || seen === undefined ? '' : `: ${JSON.stringify(seen)}`}`);
  if (!holds) { failures.push(what); }
}
const requests = [], complaints = [];
function watch(context) {
  context.on('request', (r) => requests.push(r.url()));
  context.on('console', (m) => { if (['error', 'warning'].includes(m.type())) { complaints.push(m.text()); } });
  context.on('weberror', (e) => complaints.push(e.error().message));
}
async function open(context) {
  const page = await context.newPage();
  await page.goto(address(form));
  return page;
}
const PLACE = { latitude: -39.910123, longitude: 172.950246, accuracy: 7.4 };
const phone = { viewport: { width: 360, height: 740 }, hasTouch: true, acceptDownloads: true };

// A telephone that gives its position, and has no network at all.
const allowed = await browser.newContext({ ...phone, geolocation: PLACE, permissions: ['geolocation'] });
watch(allowed);
await allowed.setOffline(true);
let page = await open(allowed);
check('the form proposes a number and today', (await page.inputValue('#id')).endsWith('-001') && /^\d{4}-\d\d-\d\d$/.test(await page.inputValue('#date')));
check('360 px has no sideways scroll', await page.evaluate(() => document.documentElement.scrollWidth <= window.innerWidth));
check('the jaw guide has a picture for each class', (await page.locator('.jaws svg.jaw').count()) === 8);
check('the head diagram is there', await page.locator('svg.head').isVisible());
check('it says two bags and cold', /two bags/i.test(await page.textContent('.cautions')) && /cold/.test(await page.textContent('.cautions')));
await page.click('#locate');
await page.waitForFunction(() => document.getElementById('lat').value !== '');
check('the position comes from the device', (await page.inputValue('#lat')) === '-39.910123' && (await page.inputValue('#lon')) === '172.950246' && (await page.inputValue('#off')) === '8');
await page.selectOption('#sex', 'female');
await page.check('input[name=jaw][value=D]');
for (const pair of ['mandibular', 'retropharyngeal', 'parotid']) { await page.selectOption(`#${pair}`, 'both'); }
await page.click('button[type=submit]');
check('a record without a result is not kept, and says why', (await page.isVisible('#wrong')) && (await page.textContent('#count')) === '0');
check('and the focus goes to what is missing', await page.evaluate(() => document.activeElement.id === 'lesion'));
await page.selectOption('#lesion', 'no');
await page.click('button[type=submit]');
check('the record is kept', (await page.textContent('#count')) === '1' && !(await page.isVisible('#wrong')));
check('the next number follows', (await page.inputValue('#id')).endsWith('-002'));

// A second, with a lesion, a sample and wear.
await page.click('#locate');
await page.waitForFunction(() => document.getElementById('lat').value !== '');
await page.evaluate(() => { document.getElementById('lat').value = '-39.921500'; });
await page.check('input[name=jaw][value=H]');
check('wear is asked of a complete set', await page.isVisible('#wear'));
await page.selectOption('#wear', '2');
await page.selectOption('#mandibular', 'one');
await page.selectOption('#lesion', 'yes');
await page.selectOption('#sample', 'culture');
check('a sample brings the note on bags and cold', await page.isVisible('#bag'));
await page.click('button[type=submit]');
check('two records are kept', (await page.textContent('#count')) === '2');

// The tab is closed; opened again, still offline, all is there.
await page.close();
page = await open(allowed);
check('records survive a closed tab', (await page.textContent('#count')) === '2' && (await page.locator('#list li').count()) === 2);
await page.reload();
check('and a reload', (await page.textContent('#count')) === '2');

// A number twice, a hostile number, a broken position.
await page.fill('#lat', '-39.93'); await page.fill('#lon', '172.96'); await page.selectOption('#lesion', 'no');
const first = (await page.textContent('#list li span')).split(' ')[0];
await page.fill('#id', first);
await page.click('button[type=submit]');
check('a number is not given twice', (await page.textContent('#wrong')).includes(first));
await page.fill('#id', '<img src=x onerror=alert(1)>, "A"');
await page.fill('#lat', 'here');
await page.click('button[type=submit]');
check('a position that is no number is not kept', (await page.textContent('#wrong')).includes('latitude'));
await page.fill('#lat', '-39,93');
await page.fill('#teeth', 'M1 M2 through; lower I2 milk');
await page.click('button[type=submit]');
check('a hostile number shows as text', (await page.textContent('#list li:last-child')).includes('<img src=x') && (await page.locator('#list img').count()) === 0);

// Export: a file, and the same as text.
const [download] = await Promise.all([page.waitForEvent('download'), page.click('#export')]);
const csv = readFileSync(await download.path(), 'utf8');
check('the export is a CSV with its headings', download.suggestedFilename().endsWith('.csv') && csv.startsWith('occurrenceID,eventDate,decimalLatitude,'));
check('and holds every record', csv.trim().split('\r\n').length === 4, csv);
await page.click('#show');
check('the same shows as text to copy', (await page.inputValue('#text')).replaceAll('\n', '\r\n') === csv.replaceAll('\r\r', '\r') || (await page.inputValue('#text')).replaceAll('\r', '') === csv.replaceAll('\r', ''));
if (exported) { writeFileSync(exported, csv); }
page.on('dialog', (d) => d.accept());
await page.click('#list li:last-child button');
check('a record can be deleted', (await page.textContent('#count')) === '2');
await page.reload();
check('and stays deleted', (await page.textContent('#count')) === '2');

const axe = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
await page.evaluate(axe);
const found = await page.evaluate(() => window.axe.run(document, { resultTypes: ['violations'] }));
const grave = found.violations.filter((v) => ['serious', 'critical'].includes(v.impact));
check('axe-core finds nothing serious in the form', grave.length === 0, grave.map((v) => [v.id, v.nodes.slice(0, 3).map((n) => n.html.slice(0, 140))]));

// Keys alone: from the top to the button that keeps the record.
await page.evaluate(() => window.scrollTo(0, 0));
await page.focus('#id');
let reached = false;
for (let i = 0; i < 40 && !reached; i += 1) {
  await page.keyboard.press('Tab');
  reached = await page.evaluate(() => document.activeElement.type === 'submit');
}
check('Tab reaches the button that keeps the record', reached);

// A telephone that refuses its position: the record can still be made.
const denied = await browser.newContext({ ...phone, permissions: [] });
watch(denied);
page = await open(denied);
const control = await denied.newCDPSession(page);
await control.send('Browser.setPermission', { permission: { name: 'geolocation' }, setting: 'denied' });
await page.click('#locate');
await page.waitForFunction(() => !document.getElementById('where').textContent.startsWith('Waiting'));
check('a refused position is said, with what to do', /not allowed.*Type it/.test(await page.textContent('#where')));
await page.fill('#lat', '-39.95'); await page.fill('#lon', '172.97'); await page.fill('#off', '30');
await page.selectOption('#lesion', 'no');
await page.click('button[type=submit]');
check('and a typed position is kept', (await page.textContent('#count')) === '1');

// A browser that keeps nothing says so, and still exports.
const forgetful = await browser.newContext(phone);
watch(forgetful);
await forgetful.addInitScript(() => {
  Object.defineProperty(window, 'localStorage', { get() { throw new DOMException('no storage', 'SecurityError'); } });
});
page = await open(forgetful);
check('a browser without storage says so', await page.isVisible('#store'));
await page.fill('#lat', '-39.95'); await page.fill('#lon', '172.97'); await page.selectOption('#lesion', 'no');
await page.click('button[type=submit]');
check('and keeps records until it is closed', (await page.textContent('#count')) === '1');

// The printed sheet: one A4 page.
const paper = await (await browser.newContext()).newPage();
paper.on('request', (r) => requests.push(r.url()));
await paper.goto(address(`${folder}/record-sheet.html`));
const pdf = await paper.pdf({ preferCSSPageSize: true, printBackground: true });
const boxes = [...pdf.toString('latin1').matchAll(/\/MediaBox\s*\[\s*([\d.]+)\s+([\d.]+)\s+([\d.]+)\s+([\d.]+)/g)].map((m) => [m[3] - m[1], m[4] - m[2]]);
// A4 is 210 × 297 mm (ISO 216): 595.3 × 841.9 points.
check('the record sheet prints on one A4 page', boxes.length === 1 && Math.abs(boxes[0][0] - 595.3) < 1.5 && Math.abs(boxes[0][1] - 841.9) < 1.5, boxes);
await paper.evaluate(axe);
const printed = await paper.evaluate(() => window.axe.run(document, { resultTypes: ['violations'] }));
const bad = printed.violations.filter((v) => ['serious', 'critical'].includes(v.impact));
check('axe-core finds nothing serious in the sheet', bad.length === 0, bad.map((v) => [v.id, v.nodes.slice(0, 3).map((n) => n.html.slice(0, 140))]));

const own = [address(form), address(`${folder}/record-sheet.html`)];
const foreign = requests.filter((r) => !own.includes(r) && !r.startsWith('blob:'));
check('nothing was requested but the pages themselves', requests.length > 0 && foreign.length === 0, foreign);
check('the console stayed silent', complaints.length === 0, complaints);

await browser.close();
console.log(failures.length ? `${failures.length} of ${checks} checks failed` : `all ${checks} checks hold`);
process.exit(failures.length ? 1 : 0);
