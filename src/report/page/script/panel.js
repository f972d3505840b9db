// The panel: what is known of one cell or one pig.
function barRow(name, p, absent) {
  var bar = el('span', { 'class': 'bar', 'aria-hidden': 'true' });
  if (p !== null) { bar.style.setProperty('--share', (100 * p).toFixed(1) + '%'); }
  return el('div', { 'class': 'barrow' }, p === null ? [el('span', {}, [name]), '', el('span', {}, [absent])] : [el('span', {}, [name]), bar, el('strong', {}, [prob(p)])]);
}
function pairs(list) {
  var dl = el('dl');
  list.forEach(function (p) { dl.append(el('dt', {}, [p[0]]), el('dd', {}, [p[1]])); });
  return dl;
}
function logScale(from, to, start, end) {
  return function (v) {
    var s = (Math.log(Math.max(v, 1e-9)) - Math.log(from)) / (Math.log(to) - Math.log(from));
    return start + Math.min(1, Math.max(0, s)) * (end - start);
  };
}
// 50 and 90 % CrI of the recent force of infection against the threshold.
function forceBar(k) {
  var q = D.cells.force.map(function (column) { return value(column[k]); });
  if (q.indexOf(null) >= 0) { return el('p', {}, ['Force of infection ' + NO_SAMPLES + '.']); }
  var x = logScale(0.001, 1, 12, 288), parts = [];
  [0.001, 0.01, 0.1, 1].forEach(function (v) {
    parts.push(svgEl('line', { x1: x(v), x2: x(v), y1: 8, y2: 40, 'class': 'grid' }), label(v === 0.001 ? 2 : x(v), 54, v === 0.001 ? 'start' : 'middle', v === 0.001 ? '≤' + v : String(v)));
  });
  parts.push(
    svgEl('rect', { x: x(q[0]), y: 22, width: Math.max(1, x(q[4]) - x(q[0])), height: 4, 'class': 'post90' }),
    svgEl('rect', { x: x(q[1]), y: 18, width: Math.max(1, x(q[3]) - x(q[1])), height: 12, 'class': 'post50' }),
    svgEl('line', { x1: x(q[2]), x2: x(q[2]), y1: 13, y2: 35, 'class': 'postmid' }),
    svgEl('line', { x1: x(D.threshold), x2: x(D.threshold), y1: 6, y2: 42, 'class': 'threshold' }),
    label(12, 70, 'start', 'infections per pig-year; dashed: threshold ' + D.threshold)
  );
  return drawing(300, 74, 'Force of infection over the last ' + D.recent, 'Median ' + figure(q[2]) + ', 50 % from ' + figure(q[1]) + ' to ' + figure(q[3]) + ', 90 % from ' + figure(q[0]) + ' to ' + figure(q[4]) + ' infections per pig-year.', parts);
}
// The cell's force of infection through the periods.
function forceCourse(k) {
  var n = D.periods.length, first = D.edges[0], last = D.edges[n];
  var x = function (d) { return 40 + 252 * (d - first) / (last - first); };
  var y = logScale(0.001, 1, 96, 12), up = '', down = '', mid = '';
  for (var t = 0; t < n; t += 1) {
    var m = value(D.byPeriod.median[t][k]);
    if (m === null) { return el('p', {}, ['Course over time ' + NO_SAMPLES + '.']); }
    mid += (t ? 'L' : 'M') + x(D.edges[t]).toFixed(1) + ' ' + y(m).toFixed(1) + 'H' + x(D.edges[t + 1]).toFixed(1);
    if (D.byPeriod.low) {
      var hi = y(value(D.byPeriod.high[t][k])).toFixed(1), lo = y(value(D.byPeriod.low[t][k])).toFixed(1);
      up += (t ? 'L' : 'M') + x(D.edges[t]).toFixed(1) + ' ' + hi + 'H' + x(D.edges[t + 1]).toFixed(1);
      down = 'L' + x(D.edges[t + 1]).toFixed(1) + ' ' + lo + 'H' + x(D.edges[t]).toFixed(1) + down;
    }
  }
  var parts = [];
  [0.001, 0.01, 0.1, 1].forEach(function (v) {
    parts.push(svgEl('line', { x1: 40, x2: 292, y1: y(v), y2: y(v), 'class': 'grid' }), label(36, y(v) + 4, 'end', v === 0.001 ? '≤' + v : String(v)));
  });
  if (up) { parts.push(svgEl('path', { d: up + down + 'Z', 'class': 'band90' })); }
  parts.push(svgEl('path', { d: mid, 'class': 'middle' }),
    svgEl('line', { x1: 40, x2: 292, y1: y(D.threshold), y2: y(D.threshold), 'class': 'threshold' }),
    label(40, 112, 'start', D.periods[0]), label(292, 112, 'end', D.periods[n - 1]),
    label(40, 126, 'start', 'infections per pig-year; line: median' + (up ? '; band: 90 % CrI' : '')));
  return drawing(300, 130, 'Force of infection of this cell over time', 'From ' + D.periods[0] + ' to ' + D.periods[n - 1] + '; in the last period the median is ' + figure(value(D.byPeriod.median[n - 1][k])) + ' infections per pig-year.', parts);
}
function standingReason(k) {
  return ['Active: the probability is 50 % or more.', 'Possible: the probability lies between 10 and 50 %, and pigs were examined.',
    'Quiet: the probability is below 10 %, and a focus here would have been found with probability ' + prob(D.target) + ' or more.',
    'Unseen: not known to be active, but too few pigs were examined to say more.'][D.cells.standing[k]];
}
function cellSaid(k) {
  var q = D.cells.force.map(function (c) { return value(c[k]); });
  return 'For a pig living around here, the force of infection of the last ' + D.recent + ' was ' + figure(q[2]) + ' infections per pig-year (90 % CrI ' + figure(q[0]) + ' to ' + figure(q[4]) +
    '). The probability that it exceeded ' + D.threshold + ' is ' + prob(share(D.cells.chance[k])) + '. ' + standingReason(k);
}
function cellPanel(k) {
  var x = (k % D.cols + 0.5) * D.sideM, y = (Math.floor(k / D.cols) + 0.5) * D.sideM, w = D.cells.window;
  return [
    el('h4', {}, ['Cell ' + cellName(k) + ': ' + STANDINGS[D.cells.standing[k]]]),
    el('p', {}, [cellSaid(k)]),
    barRow('probability of being active', share(D.cells.chance[k]), NO_SAMPLES),
    barRow('a focus would have been found', share(D.cells.coverage[k]), 'not estimated: no pigs'),
    forceBar(k), forceCourse(k),
    pairs([
      ['Area, block', (areaAt(x, y, D.zones) || 'outside all areas') + '; ' + (areaAt(x, y, D.blocks) || 'outside all blocks') +
        (D.cells.blank[k] ? '; no pig was killed within ' + D.nearKm + ' km, so these figures are little more than what the model assumes' : '')],
      ['Infections attributed to it', figure(value(D.cells.infections[k]))],
      ['When they happened (90 % CrI)', w[0][k] === null ? 'not estimated: fewer than ' + D.leastExpected + ' infections are attributed to it'
        : month(w[0][k]) + ' to ' + month(w[2][k]) + ', median ' + month(w[1][k])],
      ['Gap', areaAt(x, y, D.deepGaps) || areaAt(x, y, D.gaps) || 'in none of those listed'],
      ['Time that examined pigs lived here, last ' + D.window, figure(value(D.cells.exposure[k])) + ' pig-years']
    ])
  ];
}
function windowDrawing(p) {
  if (!p.days) { return el('p', {}, ['Infection window not estimated: at no time in its life could an infection have shown.']); }
  var from = Math.min(p.days[0], p.killed) - 30, to = p.killed + 30;
  var x = function (d) { return 8 + 284 * Math.min(1, Math.max(0, (d - from) / (to - from))); };
  var d = '', base = 64;
  p.pieces.forEach(function (s) {
    if (s[1] <= p.days[0] || s[0] >= p.days[6]) { return; }
    var y = (base - 46 * share(s[2])).toFixed(1);
    d += 'M' + x(s[0]).toFixed(1) + ' ' + base + 'V' + y + 'H' + x(s[1]).toFixed(1) + 'V' + base + 'Z';
  });
  var parts = [svgEl('path', { d: d, 'class': 'shape' }), svgEl('line', { x1: 8, x2: 292, y1: base, y2: base, 'class': 'mark' }),
    svgEl('rect', { x: x(p.days[1]), y: 70, width: Math.max(1, x(p.days[5]) - x(p.days[1])), height: 4, 'class': 'post90' }),
    svgEl('rect', { x: x(p.days[2]), y: 67, width: Math.max(1, x(p.days[4]) - x(p.days[2])), height: 10, 'class': 'post50' }),
    svgEl('line', { x1: x(p.days[3]), x2: x(p.days[3]), y1: 62, y2: 82, 'class': 'postmid' })];
  for (var year = dateOf(from).getUTCFullYear() + 1; year <= dateOf(to).getUTCFullYear(); year += 1) {
    var day = Date.UTC(year, 0, 1) / 86400000 - D.baseDay;
    parts.push(svgEl('line', { x1: x(day), x2: x(day), y1: 12, y2: 84, 'class': 'mark', 'stroke-opacity': '.35' }), label(x(day), 96, 'middle', String(year)));
  }
  parts.push(svgEl('path', { d: 'M' + x(p.killed) + ' 57l5 5l-5 5l-5 -5Z', 'class': p.confirmed ? 'confirmed' : 'suspect' }),
    label(8, 112, 'start', 'infection date; bars: 50 and 90 % CrI; ◆ killed'));
  return drawing(300, 116, 'Infection window of ' + p.id, 'Infected between ' + month(p.days[1]) + ' and ' + month(p.days[5]) + ' (90 % CrI), median ' + month(p.days[3]) + '; killed ' + isoDay(p.killed) + '.', parts);
}
function pigPanel(i) {
  var p = D.positives[i];
  return [el('h4', {}, ['Pig ' + p.id]), el('p', {}, [p.said]), windowDrawing(p)]
    .concat(p.bars.map(function (b) { return barRow(b[0], share(b[1]), b[2]); }))
    .concat([pairs(p.facts), el('p', { 'class': 'note' }, ['On the map: solid line, the smallest area that holds 50 % of its likely origin; dashed, 90 %.'])]);
}
