// Figures: the data block, numbers back from their compact form, and numbers as words.
var D = JSON.parse(document.getElementById('figures').textContent);
var N = D.rows * D.cols;

// A step of the logarithm back to a number; null stays null.
function value(step) { return step === null ? null : 1e-6 * Math.pow(10, step / 250); }
function share(tenThousandths) { return tenThousandths === null ? null : tenThousandths / 10000; }

var NO_SAMPLES = 'not estimated: no posterior samples';
// As the sentences of the page write a probability and a positive number.
function prob(p) {
  if (p === null) { return NO_SAMPLES; }
  return p < 0.01 ? 'under 1 %' : p > 0.99 ? 'over 99 %' : Math.round(100 * p) + ' %';
}
function figure(v) {
  if (v === null) { return NO_SAMPLES; }
  if (v < 0.001) { return 'under 0.001'; }
  var decimals = Math.min(3, Math.max(0, 1 - Math.floor(Math.log10(v))));
  return v.toFixed(decimals);
}
var MONTHS = ['January', 'February', 'March', 'April', 'May', 'June', 'July', 'August', 'September', 'October', 'November', 'December'];
function dateOf(day) { return new Date((D.baseDay + day) * 86400000); }
function month(day) { var d = dateOf(day); return MONTHS[d.getUTCMonth()] + ' ' + d.getUTCFullYear(); }
function isoDay(day) { return dateOf(day).toISOString().slice(0, 10); }

var STANDINGS = ['active', 'possible', 'quiet', 'unseen'];
function stepOf(v, edges) { var k = 0; while (k < edges.length && v >= edges[k]) { k += 1; } return k; }
function pad3(n) { return ('00' + n).slice(-Math.max(3, String(n).length)); }
function cellName(k) { return D.factor > 1 ? D.cells.id[k] : 'r' + pad3(Math.floor(k / D.cols)) + 'c' + pad3(k % D.cols); }

// Step number (colour) of square k for what is shown; null where there is no figure.
function classOf(k, shown, period) {
  if (shown === 'standing') { return D.cells.standing[k]; }
  if (shown === 'blocks') { return null; }
  if (shown === 'chance') { return stepAt(share(D.cells.chance[k]), D.steps.chance.edges); }
  if (shown === 'coverage') { return stepAt(share(D.cells.coverage[k]), D.steps.coverage.edges); }
  if (shown === 'period') { return stepAt(value(D.byPeriod.median[period][k]), D.steps.force.edges); }
  return stepAt(value(D.cells.force[2][k]), D.steps.force.edges);
}
function stepAt(v, edges) { return v === null ? null : stepOf(v, edges); }
function coloursOf(shown) {
  if (shown === 'standing') { return D.steps.standing; }
  if (shown === 'chance') { return D.steps.chance.colours; }
  if (shown === 'coverage') { return D.steps.coverage.colours; }
  if (shown === 'blocks') { return D.steps.best.colours; }
  return D.steps.force.colours;
}

// Whether a place lies in rings of alternating coordinates (even-odd rule).
function inside(x, y, rings) {
  var odd = false;
  rings.forEach(function (r) {
    for (var i = 0, j = r.length - 2; i < r.length; j = i, i += 2) {
      if ((r[i + 1] > y) !== (r[j + 1] > y) && x < (r[j] - r[i]) * (y - r[i + 1]) / (r[j + 1] - r[i + 1]) + r[i]) { odd = !odd; }
    }
  });
  return odd;
}
function areaNumber(x, y, list) {
  for (var i = 0; i < list.length; i += 1) { if (inside(x, y, list[i].rings)) { return i; } }
  return null;
}
function areaAt(x, y, list) {
  var i = areaNumber(x, y, list);
  return i === null ? null : list[i].name;
}
function blockWords(i) {
  var c = D.choice[i];
  return D.blocks[i].name + ': ' + (c[0] === null ? 'may not be treated this season' : 'in the best set in ' + prob(share(c[0])) + ' of plausible maps') + (c[1] ? '; to be treated against ' + c[1] : '');
}
// Runs first, length, first, length … as a set of squares.
function squares(runs) {
  var set = new Set();
  for (var i = 0; i < runs.length; i += 2) { for (var k = 0; k < runs[i + 1]; k += 1) { set.add(runs[i] + k); } }
  return set;
}
