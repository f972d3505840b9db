// What a reader does with the page, checked in a real browser. One line a check; ends with 1 if any fails.
import { readFileSync } from 'node:fs';
import { launch, address, require } from './open.mjs';

const file = process.argv[2];
const choice = process.argv[3] ? JSON.parse(readFileSync(process.argv[3], 'utf8')) : null;
const browser = await launch();
const failures = [];
let checks = 0;
function check(what, holds, seen) {
  checks += 1;
  console.log(`${holds ? 'ok  ' : 'FAIL'} ${what}${holds || seen === undefined ? '' : `: ${JSON.stringify(seen)}`}`);
  if (!holds) { failures.push(what); }
}

const requests = [], complaints = [];
async function open(width, height, way) {
  const page = await browser.newPage({ viewport: { width, height } });
  page.on('request', (r) => requests.push(r.url()));
  page.on('console', (m) => { if (['error', 'warning'].includes(m.type())) { complaints.push(m.text()); } });
  page.on('pageerror', (e) => complaints.push(e.message));
  await page.goto(address(file, way));
  return page;
}
// A fingerprint of what is drawn on the map's lower canvas, and how many colours it has.
const pixels = (page) => page.evaluate(() => {
  const c = document.querySelector('#map canvas');
  // Read from a copy: reading the map's own canvas would slow it down, and the browser says so.
  const copy = document.createElement('canvas');
  copy.width = c.width;
  copy.height = c.height;
  const ctx = copy.getContext('2d', { willReadFrequently: true });
  ctx.drawImage(c, 0, 0);
  const d = ctx.getImageData(0, 0, c.width, c.height).data;
  const colours = new Set();
  let sum = 0;
  for (let i = 0; i < d.length; i += 4) {
    const v = (d[i] << 16) | (d[i + 1] << 8) | d[i + 2];
    sum = (sum * 31 + v) % 2147483647;
    if (i % 64 === 0) { colours.add(v); }
  }
  return { sum, colours: colours.size };
});

// It opens, each way in shows its own content, and the map is drawn.
const page = await open(1280, 900, '');
check('the page has a title', (await page.title()).length > 3);
const drawings = {};
for (const [way, words] of [['here', 'Is it here?'], ['first', 'Where first?'], ['looked', 'Have we looked?']]) {
  await page.click(`.ways a[href="#${way}"]`);
  const seen = await page.$$eval('.way', (list) => list.filter((w) => w.offsetParent !== null).map((w) => w.id));
  check(`"${words}" shows alone`, seen.length === 1 && seen[0] === way, seen);
  check(`"${words}" opens with sentences`, (await page.$$eval(`#${way} .opening p, #${way} .card p`, (p) => p.filter((x) => x.textContent.length > 40).length)) >= 2);
  check(`"${words}" has the map`, await page.$eval(`#${way}`, (w) => w.contains(document.getElementById('map')) && document.querySelector('#map canvas').width > 100));
  drawings[way] = await pixels(page);
  check(`"${words}" draws cells in several colours`, drawings[way].colours > 3, drawings[way]);
  check(`"${words}" fills its tables`, await page.$$eval(`#${way} tbody`, (list) => list.every((b) => b.rows.length > 0 && b.textContent.trim().length > 0)));
}
check('each way draws its own figure', new Set(Object.values(drawings).map((d) => d.sum)).size === 3, drawings);

// The figure and the period change what is drawn.
await page.click('.ways a[href="#here"]');
const before = await pixels(page);
await page.selectOption('#figure', 'force');
check('another figure changes the map', (await pixels(page)).sum !== before.sum);
await page.focus('#period');
await page.keyboard.press('Home');
const first = await pixels(page);
const firstName = await page.textContent('#period-name');
await page.keyboard.press('End');
const last = await pixels(page);
check('the slider moves the map', first.sum !== last.sum);
check('the slider names its period', firstName !== (await page.textContent('#period-name')), firstName);
await page.selectOption('#figure', 'chance');
await page.$$eval('.more-marks', (l) => l.forEach((d) => { d.open = true; }));
for (const mark of ['clear', 'zones', 'graticule']) {
  const shown = await pixels(page);
  await page.click(`[data-mark="${mark}"]`);
  const without = await pixels(page);
  const any = await page.evaluate((m) => {
    const d = JSON.parse(document.getElementById('figures').textContent);
    return { clear: d.clear.at.length, zones: d.zones.length, graticule: d.graticule.length }[m] > 0;
  }, mark);
  check(`unticking ${mark} takes it off the map`, any === (shown.sum !== without.sum));
  await page.click(`[data-mark="${mark}"]`);
}

// The epidemiologist's question: each area has its verdict, on the first screen and in words.
const VERDICTS = /^(active now|active until about .+; not shown since, not ruled out|active earlier; not shown since, not ruled out|no sign of it(; not yet free)?|free at the target of .+|too few pigs to say)$/;
const cards = await page.$$eval('#here .card:not(.plan)', (l) => l.map((c) => ({ name: c.querySelector('h3').firstElementChild.textContent, verdict: c.querySelector('.verdict').textContent, top: c.getBoundingClientRect().top, said: c.querySelector('p').textContent })));
check('each area has a verdict', cards.length > 0 && cards.every((c) => VERDICTS.test(c.verdict)), cards);
check('the first verdict is on the first screen', cards[0].top < 400, cards[0].top);
check('and says in pigs what it rests on', cards.every((c) => /of 100 /i.test(c.said)), cards);

// The manager's: and with another budget? The same set as on the command line; kept in the address.
if (choice) {
  await page.click('.ways a[href="#first"]');
  await page.fill('#budget', String(choice.budget));
  const named = await page.$$eval('#what-list li', (l) => l.map((x) => x.textContent));
  const asked = choice.operations.filter((o) => o.chosen).map((o) => `${o.name}, ${o.operation.split(':')[1]}s`);
  check('another budget gives the set that pignut choose gives', named.length === asked.length && asked.every((a) => named.some((n) => n.startsWith(a))), [named, asked]);
  check('it says what it costs and clears', /costs .+ expected to clear about .+ active ha/.test(await page.textContent('#what-said')));
  check('the budget stands in the address', page.url().includes(`budget=${choice.budget}`), page.url());
  await page.reload();
  check('a reload keeps the budget and the set', (await page.inputValue('#budget')) === String(choice.budget) && (await page.$$eval('#what-list li', (l) => l.length)) === named.length);
  if (named.length) {
    await page.click('#what-if summary');
    const first = await page.$eval('#what-list button', (b) => b.dataset.block);
    const op = await page.$$eval('#what-rows select', (l, name) => l.map((s) => s.dataset.op)[l.findIndex((s) => s.getAttribute('aria-label').includes(name))], named[0].split(',')[0] + ' (' + named[0].split(', ')[1].replace(/s$/, '') + ')');
    await page.selectOption(`#what-rows select[data-op="${op}"]`, 'never');
    check('an operation that must never be done is not', !(await page.$$eval('#what-list li', (l) => l.map((x) => x.textContent))).some((t) => t.startsWith(named[0].split(':')[0].split(', NZD')[0])), first);
  }
  await page.fill('#budget', '');
  await page.click('.ways a[href="#here"]');
  check('the way back is kept', (await page.goBack(), page.url().includes('#first')), page.url());
  await page.click('.ways a[href="#here"]');
}

// A table sorts by a column and is saved as CSV, the map as a picture.
await page.click('.ways a[href="#looked"]');
const [saved] = await Promise.all([page.waitForEvent('download'), page.click('#looked .take [data-take="png"]')]);
check('the map is saved as a picture', /-map\.png$/.test(saved.suggestedFilename()), saved.suggestedFilename());
const [sheetFile] = await Promise.all([page.waitForEvent('download'), page.click('#looked .save >> nth=0')]);
check('a table is saved as CSV', /\.csv$/.test(sheetFile.suggestedFilename()), sheetFile.suggestedFilename());
await page.click('.ways a[href="#here"]');
const sorter = page.locator('#pigs-h ~ .scroll .sorter').first();
if (await sorter.count()) {
  await sorter.click();
  const down = await page.$$eval('[data-pig-row] th', (l) => l.map((t) => t.textContent));
  await sorter.click();
  const up = await page.$$eval('[data-pig-row] th', (l) => l.map((t) => t.textContent));
  check('a table sorts both ways', down.length < 2 || down[0] !== up[0], [down[0], up[0]]);
}

// A positive: from its table, with its window and its origin.
const pig = page.locator('[data-pig-row] button[data-pig]').first();
if (await pig.count()) {
  const name = await pig.textContent();
  await pig.click();
  const panel = await page.textContent('#panel');
  check('choosing a positive shows it in the panel', panel.includes(name), name);
  check('its infection window is drawn', (await page.locator('#panel svg path.shape').count()) === 1);
  check('and said', panel.includes('infected between') || panel.includes('not estimated'));
  check('the focus goes along', await page.evaluate(() => document.activeElement.id === 'panel'));
  check('its origin is outlined on the map', await page.evaluate(() => {
    const c = document.querySelectorAll('#map canvas')[1];
    return c.getContext('2d').getImageData(0, 0, c.width, c.height).data.some((v) => v > 0);
  }));
  check('its row and its line in the chart are marked', (await page.locator('[data-pig-row].chosen, svg .pig.chosen').count()) === 2);
  const kept = page.url();
  check('the pig stands in the address', kept.includes('pig='), kept);
  await page.reload();
  check('and is open again after a reload', (await page.textContent('#panel')).includes(name));
  const row = page.locator('#pigs-h ~ .scroll [data-pig-row] button[data-pig]').first();
  await row.click();
  await page.click('#panel .close');
  check('closing the panel leads back to the table', (await page.evaluate(() => document.activeElement.textContent)) === (await row.textContent()));
} else {
  check('a page without positives says so', (await page.textContent('#here')).includes('No positive'));
}

// An area: its panel, its place in the address.
const area = page.locator('#here .card button[data-zone]').first();
if (await area.count()) {
  const name = await area.textContent();
  await area.click();
  check('an area has a panel', (await page.textContent('#panel')).includes(name) && page.url().includes('zone='), page.url());
  await page.click('#panel .close');
}

// How far the run can be trusted.
await page.click('.ways a[href="#looked"]');
const counts = await page.$$eval('#fit-h ~ .scroll table', (t) => [...t[0].tBodies[0].rows].map((r) => [...r.cells].map((c) => c.textContent)));
check('the counts of positives stand beside what the model predicts', counts.length >= 3 && counts.every((r) => r.length === 8 && /^\d+ to \d+$/.test(r[4])), counts[0]);
check('and a sentence says whether they fit', /The (numbers of positives are as the model predicts|model does not fit these records)/.test(await page.textContent('#looked')));
const odd = page.locator('#surprise-h + .scroll button[data-pig]').first();
if (await odd.count()) {
  const name = await odd.textContent();
  await odd.click();
  check('a surprising positive opens in the panel', (await page.textContent('#panel')).includes(name), name);
  await page.click('#panel .close');
}
const claims = await page.$$eval('#holds-h ~ .scroll table', (t) => t.length && t[0].tBodies[0].rows.length);
check('what holds under other inputs is shown, or how to ask for it', claims > 0 || (await page.textContent('#looked')).includes('--sensitivity'), claims);
await page.click('.ways a[href="#here"]');

// Keys alone: from the top of the page to an open cell.
await page.reload();
const passed = [];
for (let i = 0; i < 40; i += 1) {
  await page.keyboard.press('Tab');
  const id = await page.evaluate(() => document.activeElement.id || document.activeElement.textContent.trim().slice(0, 30));
  passed.push(id);
  if (id === 'map') { break; }
}
check('Tab reaches the map', passed.at(-1) === 'map', passed);
check('focus is visible there', await page.$eval('#map', (m) => getComputedStyle(m).outlineStyle !== 'none' && parseFloat(getComputedStyle(m).outlineWidth) >= 2));
await page.keyboard.press('ArrowUp');
const said1 = await page.textContent('#spoken');
await page.keyboard.press('ArrowRight');
const said2 = await page.textContent('#spoken');
check('arrow keys move a cell cursor that is spoken', said1.startsWith('Cell') && said2.startsWith('Cell') && said1 !== said2, [said1, said2]);
await page.keyboard.press('Enter');
const cell = await page.textContent('#panel');
check('Enter opens the cell', cell.includes('Cell r') && cell.includes('infections per pig-year'), cell.slice(0, 80));
await page.keyboard.press('Escape');
check('Escape closes it', (await page.textContent('#panel')).includes('Nothing chosen'));

// A hover names what lies under the pointer; a click opens it.
const box = await page.locator('#map').boundingBox();
await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
check('hovering names the cell or pig', /^(Cell|Pig) /.test(await page.textContent('#map .hover')));
await page.mouse.click(box.x + box.width / 2, box.y + box.height / 2);
check('a click opens it', /^.?(Cell|Pig) /.test(await page.textContent('#panel')));
const still = await pixels(page);
await page.mouse.down();
await page.mouse.move(box.x + box.width / 2 + 60, box.y + box.height / 2 + 20, { steps: 4 });
await page.mouse.up();
check('dragging pans the map', (await pixels(page)).sum !== still.sum);

// Accessibility rules of axe-core, way by way.
const axe = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
await page.evaluate(axe);
for (const way of ['here', 'first', 'looked']) {
  await page.click(`.ways a[href="#${way}"]`);
  await page.$$eval('details', (list) => list.forEach((d) => { d.open = true; }));
  for (const scheme of ['light', 'dark']) {
    await page.emulateMedia({ colorScheme: scheme });
    const seen = await page.evaluate(() => window.axe.run(document, { resultTypes: ['violations'] }));
    const hard = seen.violations.filter((v) => ['serious', 'critical'].includes(v.impact));
    check(`axe-core finds nothing serious in ${way}, ${scheme}`, hard.length === 0, hard.map((v) => [v.id, v.nodes.slice(0, 3).map((n) => n.html.slice(0, 160) + ' | ' + (n.any[0]?.message ?? ''))]));
  }
  await page.emulateMedia({ colorScheme: 'light' });
  const levels = await page.$$eval('h1, h2, h3, h4', (list) => list.filter((h) => h.offsetParent !== null).map((h) => Number(h.tagName[1])));
  check(`headings go down one level at a time in ${way}`, levels[0] === 1 && levels.every((l, i) => i === 0 || l <= levels[i - 1] + 1), levels);
}

// Print: A4, all three ways, nothing beyond the sheet's edge.
const sheet = await open(1280, 900, 'first');
await sheet.emulateMedia({ media: 'print' });
// A4 less 13 mm at each side, in CSS pixels of 1/96 inch.
const printable = Math.floor((210 - 26) / 25.4 * 96);
await sheet.setViewportSize({ width: printable, height: 1000 });
check('print shows all three ways', (await sheet.$$eval('.way', (l) => l.filter((w) => w.offsetParent !== null).length)) === 3);
check('print shows the still maps', (await sheet.$$eval('svg.still', (l) => l.filter((s) => s.getBoundingClientRect().width > 100).length)) === 3);
const cut = await sheet.evaluate((width) => [...document.querySelectorAll('main *, header *, footer *')]
  .filter((n) => !n.closest('svg') || n.tagName === 'svg')
  .filter((n) => { const r = n.getBoundingClientRect(); return r.width > 0 && getComputedStyle(n).visibility !== 'hidden' && !n.closest('.map-block') && (r.right > width + 1 || r.left < -1); })
  .map((n) => n.outerHTML.slice(0, 90)), printable);
check('nothing stands out of the sheet', cut.length === 0, cut.slice(0, 5));
const clipped = await sheet.$$eval('.scroll', (l) => l.filter((s) => s.scrollWidth > s.clientWidth + 1 || s.scrollHeight > s.clientHeight + 1).map((s) => s.getAttribute('aria-label') || s.getAttribute('aria-labelledby')));
check('no scrolled region is cut off', clipped.length === 0, clipped);
const tall = await sheet.$$eval('figure svg', (l) => l.filter((s) => s.getBoundingClientRect().height > (297 - 28) / 25.4 * 96).map((s) => s.textContent.slice(0, 60)));
check('no drawing is taller than a sheet', tall.length === 0, tall);
const pdf = await sheet.pdf({ preferCSSPageSize: true, printBackground: true });
const boxes = [...pdf.toString('latin1').matchAll(/\/MediaBox\s*\[\s*([\d.]+)\s+([\d.]+)\s+([\d.]+)\s+([\d.]+)/g)].map((m) => [m[3] - m[1], m[4] - m[2]]);
// A4 is 210 × 297 mm (ISO 216): 595.3 × 841.9 points.
check('printed pages are A4', boxes.length > 2 && boxes.every(([w, h]) => Math.abs(w - 595.3) < 1.5 && Math.abs(h - 841.9) < 1.5), boxes[0]);

// A telephone: no sideways scrolling of the page.
for (const way of ['here', 'first', 'looked']) {
  const slim = await open(360, 740, way);
  const widths = await slim.evaluate(() => [document.documentElement.scrollWidth, window.innerWidth]);
  check(`360 px has no sideways scroll in ${way}`, widths[0] <= widths[1], widths);
  await slim.close();
}

// Without script everything but the moving map is there.
const plain = await browser.newContext({ javaScriptEnabled: false });
const bare = await plain.newPage();
await bare.goto(address(file));
check('without script all three ways and their still maps show', (await bare.locator('.way:visible').count()) === 3 && (await bare.locator('svg.still:visible').count()) === 3);

check('nothing was requested but the page itself', requests.length > 0 && requests.every((r) => r.split('#')[0] === address(file)), requests.filter((r) => r.split('#')[0] !== address(file)));
check('the console stayed silent', complaints.length === 0, complaints);

await browser.close();
console.log(failures.length ? `${failures.length} of ${checks} checks failed` : `all ${checks} checks hold`);
process.exit(failures.length ? 1 : 0);
