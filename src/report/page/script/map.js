// The map: what is shown, what is under the cursor, what is chosen.
var state = { shown: 'chance', period: D.periods.length - 1, cursor: null, opened: null, area: null, under: null, pig: null, marks: { positives: true, clear: true, zones: true, blocks: true, gaps: true, graticule: false } };
// What was pressed to open the panel, if not the map: closing leads back there.
var opener = null;
var map, base, top_, spoken = document.getElementById('spoken');
var mapBlock = document.getElementById('map-block'), mapNode = document.getElementById('map'), panel = document.getElementById('panel');
var figureSelect = document.getElementById('figure'), slider = document.getElementById('period'), legend = document.getElementById('legend');
var hover = el('p', { 'class': 'hover', 'aria-hidden': 'true' });
var GRID = L.latLngBounds([[0, 0], [D.heightM, D.widthM]]), HOME = home();
// Where the map opens: on the areas; without areas on the land that pigs' ranges reach.
function home() {
  var box = L.latLngBounds([]);
  D.zones.forEach(function (z) { z.rings.forEach(function (r) { for (var i = 0; i < r.length; i += 2) { box.extend([r[i + 1], r[i]]); } }); });
  if (!box.isValid()) {
    D.cells.blank.forEach(function (b, k) {
      if (!b) { box.extend([(Math.floor(k / D.cols) + 0.5) * D.sideM, (k % D.cols + 0.5) * D.sideM]); }
    });
  }
  return box.isValid() ? box.pad(0.03) : GRID;
}

function paintBase(ctx, view) {
  drawCells(ctx, view, state.shown, state.period);
  if (state.shown === 'blocks') { drawChoice(ctx, view); }
  if (state.marks.graticule) { drawGraticule(ctx, view); }
  if (state.marks.clear) {
    ctx.fillStyle = 'rgba(28,31,38,.42)';
    var at = D.clear.at;
    for (var i = 0; i < at.length; i += 2) { ctx.fillRect(view.x(at[i]) - 0.9, view.y(at[i + 1]) - 0.9, 1.8, 1.8); }
  }
  if (state.marks.blocks) { drawRings(ctx, view, D.blocks, 1, [4, 3], '#4d5059'); }
  if (state.marks.gaps && state.shown === 'coverage') { drawRings(ctx, view, D.gaps, 1.2, [], '#a4500f'); drawRings(ctx, view, D.deepGaps, 2.6, [], '#a4500f'); drawNeeds(ctx, view, D.gaps); }
  if (state.marks.zones) { drawRings(ctx, view, D.zones, 2.2, [], '#1c1f26'); }
  if (state.marks.positives) {
    // Those that say most of now lie on top.
    D.positives.slice().sort(function (a, b) { return (a.now || 0) - (b.now || 0); }).forEach(function (p) {
      ctx.globalAlpha = inPeriod(p) ? 1 : 0.28;
      diamond(ctx, view.x(p.at[0]), view.y(p.at[1]), share(p.now));
    });
    ctx.globalAlpha = 1;
  }
  if (state.marks.zones && state.shown !== 'blocks') {
    D.zones.forEach(function (z) {
      if (!z.label) { return; }
      written(ctx, z.name, view.x(z.label[0]), view.y(z.label[1]), 'center', true);
      if (state.shown === 'chance') { written(ctx, z.said, view.x(z.label[0]), view.y(z.label[1]) + 15, 'center', false); }
    });
  }
}
// With a period on show, a positive whose 90 % window does not touch it is drawn faint.
function inPeriod(p) {
  if (state.shown !== 'period' || !p.days) { return true; }
  return p.days[1] < D.edges[state.period + 1] && p.days[5] >= D.edges[state.period];
}
function paintTop(ctx, view) {
  [state.shape, state.under].forEach(function (a) { if (a) { drawRings(ctx, view, [a], 6, [], '#ffffff'); drawRings(ctx, view, [a], 3, [], '#0b5bd3'); } });
  if (state.pig !== null) {
    var p = D.positives[state.pig], x = view.x(p.at[0]), y = view.y(p.at[1]);
    drawSet(ctx, view, squares(p.area90), [6, 4]);
    drawSet(ctx, view, squares(p.area50), []);
    ctx.beginPath();
    ctx.arc(x, y, 11, 0, 7);
    ctx.lineWidth = 5; ctx.strokeStyle = '#ffffff'; ctx.stroke();
    ctx.lineWidth = 2.5; ctx.strokeStyle = '#0b5bd3'; ctx.stroke();
    diamond(ctx, x, y, share(p.now));
  }
  if (state.cursor !== null) {
    var s = D.sideM, r = Math.floor(state.cursor / D.cols), c = state.cursor % D.cols;
    var box = [view.x(c * s), view.y((r + 1) * s), s * view.scale, s * view.scale];
    ctx.lineWidth = 4; ctx.strokeStyle = '#ffffff'; ctx.strokeRect(box[0], box[1], box[2], box[3]);
    ctx.lineWidth = 2; ctx.strokeStyle = '#0b5bd3'; ctx.strokeRect(box[0], box[1], box[2], box[3]);
  }
}
function figureWords(k) {
  if (state.shown === 'blocks') {
    var b = areaNumber((k % D.cols + 0.5) * D.sideM, (Math.floor(k / D.cols) + 0.5) * D.sideM, D.blocks);
    return b === null ? 'outside all blocks' : blockWords(b);
  }
  if (state.shown === 'period') { return 'force of infection ' + figure(value(D.byPeriod.median[state.period][k])) + ' per pig-year in ' + D.periods[state.period]; }
  if (state.shown === 'force') { return 'force of infection ' + figure(value(D.cells.force[2][k])) + ' per pig-year'; }
  if (state.shown === 'coverage') { return 'a focus would have been found: ' + prob(share(D.cells.coverage[k])); }
  return 'probability of being active ' + prob(share(D.cells.chance[k])) + ', ' + STANDINGS[D.cells.standing[k]];
}
function say(text) { spoken.textContent = text; }

function chip(colour, pattern) {
  var c = el('canvas', { 'class': 'chip', width: 27, height: 19, 'aria-hidden': 'true' }), x = c.getContext('2d');
  x.fillStyle = colour; x.fillRect(0, 0, 27, 19);
  if (pattern) { x.fillStyle = x.createPattern(pattern, 'repeat'); x.fillRect(0, 0, 27, 19); }
  return c;
}
function showLegend() {
  var titles = {
    chance: 'Chance that it is active now: over ' + D.threshold + ' infections per pig-year in the last ' + D.recent,
    force: 'Force of infection, median over the last ' + D.recent + ', infections per pig-year, averaged over a pig’s range',
    period: 'Force of infection in ' + D.periods[state.period] + ', median, infections per pig-year',
    coverage: 'Probability that a focus of ' + D.design + ' infections per pig-year would have been found',
    standing: 'Standing',
    blocks: 'How often a block is in the best set, of all plausible maps'
  };
  var items = [], colours = coloursOf(state.shown);
  if (state.shown === 'standing') {
    ['active: probability 50 % or more', 'possible: 10 to 50 %, and pigs were examined', 'quiet: lower, and enough pigs were examined', 'unseen: too few pigs examined'].forEach(function (w, k) {
      items.push(el('li', {}, [chip(colours[k], k === 3 ? HATCH : null), w]));
    });
  } else {
    var edges = (state.shown === 'chance' ? D.steps.chance : state.shown === 'coverage' ? D.steps.coverage : state.shown === 'blocks' ? D.steps.best : D.steps.force).edges;
    var rate = state.shown === 'force' || state.shown === 'period';
    var step = function (v) { return rate ? String(v) : Math.round(1000 * v) / 10 + ' %'; };
    colours.forEach(function (c, k) {
      var words = k === 0 ? 'under ' + step(edges[0]) : k === edges.length ? step(edges[k - 1]) + ' or more' : step(edges[k - 1]) + ' to ' + step(edges[k]);
      items.push(el('li', {}, [chip(c, null), words]));
    });
    if (state.shown === 'chance' || state.shown === 'force') { items.push(el('li', {}, [chip('#fbfaf6', HATCH), 'unseen: too few pigs examined'])); }
  }
  if (state.shown === 'blocks') { items.push(el('li', {}, [chip('#fbfaf6', HATCH), 'may not be treated this season'])); }
  if (state.shown !== 'coverage' && state.shown !== 'period' && state.shown !== 'blocks') { items.push(el('li', {}, [chip('#fbfaf6', DOTS), 'no pig killed within ' + D.nearKm + ' km'])); }
  var marks = 'Diamonds are positives: gold, infected here lately, larger where surer; hollow, infected earlier' + (state.shown === 'period' ? '; faint where the infection window misses the period' : '') + '. Dots: negative pigs. Thick lines: areas; broken: blocks' + (state.shown === 'blocks' ? '; blue: blocks chosen at the budget.' : state.shown === 'coverage' ? '; brown: gaps, thick where below half of the target, with the pigs that would close them.' : '.');
  legend.replaceChildren(el('span', { 'class': 'title' }, [titles[state.shown]]), el('ul', {}, items), el('p', { 'class': 'note' }, [marks]));
}
function show() {
  figureSelect.value = state.shown;
  slider.value = state.period;
  slider.setAttribute('aria-valuetext', D.periods[state.period]);
  document.getElementById('period-name').textContent = state.shown === 'period' ? D.periods[state.period] : 'move to choose';
  slider.closest('.time').classList.toggle('off', state.shown !== 'period');
  showLegend();
  base.redraw();
  top_.redraw();
}
function setPanel(parts) {
  var close = el('button', { type: 'button', 'class': 'close', 'aria-label': 'Close the panel' }, ['×']);
  close.addEventListener('click', function () { clearChoice(); keepAddress(false); (opener || mapNode).focus(); });
  panel.replaceChildren.apply(panel, [close].concat(parts));
  panel.scrollTop = 0;
}
function markRows() {
  document.querySelectorAll('[data-pig-row], svg .pig').forEach(function (n) {
    n.classList.toggle('chosen', state.pig !== null && (n.dataset.pigRow || n.dataset.pig) === String(state.pig));
  });
}
function emptyPanel() {
  panel.replaceChildren(el('h4', {}, ['Nothing chosen']), el('p', {}, ['Choose a cell or a positive pig on the map, or a pig’s number in its table. Its figures are shown here.']));
}
function clearChoice() { state.pig = null; state.cursor = null; state.opened = null; state.area = null; state.shape = null; emptyPanel(); markRows(); top_.redraw(); }
function chooseCell(k) {
  state.cursor = k; state.opened = k; state.pig = null; state.area = null; state.shape = null; opener = null;
  setPanel(cellPanel(k));
  markRows(); top_.redraw();
  say('Cell ' + cellName(k) + '. ' + cellSaid(k));
}
function choosePig(i, travel) {
  state.pig = i; state.cursor = null; state.opened = null; state.area = null; state.shape = null;
  setPanel(pigPanel(i));
  markRows();
  var p = D.positives[i];
  if (!travel) { opener = null; }
  if (travel) {
    // Its origin areas in view, with the kill place.
    var box = L.latLngBounds([[p.at[1], p.at[0]]]);
    squares(p.area50).forEach(function (k) { box.extend([(Math.floor(k / D.cols) + 0.5) * D.sideM, (k % D.cols + 0.5) * D.sideM]); });
    map.fitBounds(box.pad(0.6), { animate: false, maxZoom: map.getBoundsZoom(HOME) + 2 });
  }
  top_.redraw();
  say('Pig ' + p.id + '. ' + p.said);
}
// An area, a block or a gap: its boundary on the map, and in the panel what the page says of it.
function chooseArea(kind, area, travel) {
  if (!area) { return; }
  state.pig = null; state.cursor = null; state.opened = null; state.area = [kind, area.name]; state.shape = area;
  var parts = [el('h4', {}, [area.name + (area.said && kind === 'zone' ? ': ' + area.said : '')])];
  if (kind === 'gap') { parts.push(el('p', {}, ['More negative pigs that would close it: ' + area.said + '.'])); }
  // Its row in the tables of the page.
  var key = kind === 'zone' ? D.zones.indexOf(area) : kind === 'block' ? D.blocks.indexOf(area) : area.name;
  document.querySelectorAll('.way tbody [data-' + kind + '="' + key + '"]').forEach(function (b) {
    var row = b.closest('tr'), table = b.closest('table');
    if (!row || table.querySelector('[rowspan]')) { return; }
    var title = table.closest('.scroll').getAttribute('aria-label') || (document.getElementById(table.closest('.scroll').getAttribute('aria-labelledby')) || {}).textContent || '';
    parts.push(el('h5', {}, [title]));
    parts.push(pairs(Array.prototype.slice.call(row.cells, 1).map(function (c, i) { return [cellText(table.tHead.rows[0].cells[c.cellIndex]), cellText(c)]; })));
  });
  setPanel(parts);
  markRows();
  if (travel) { map.fitBounds(boundsOf(area).pad(0.1), { animate: false }); }
  top_.redraw();
  say(area.name + (area.said ? ': ' + area.said : '') + ' is in view on the map.');
}
function cellAt(latlng) {
  var c = Math.floor(latlng.lng / D.sideM), r = Math.floor(latlng.lat / D.sideM);
  return c >= 0 && r >= 0 && c < D.cols && r < D.rows ? r * D.cols + c : null;
}
function pigAt(point) {
  if (!state.marks.positives) { return null; }
  var best = null, near = 14;
  D.positives.forEach(function (p, i) {
    var d = map.latLngToContainerPoint([p.at[1], p.at[0]]).distanceTo(point);
    if (d < near) { near = d; best = i; }
  });
  return best;
}
function keyOnMap(e) {
  var moves = { ArrowUp: [1, 0], ArrowDown: [-1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1] };
  if (e.ctrlKey || e.metaKey || e.altKey) { return; }
  if (moves[e.key]) {
    var k = state.cursor;
    if (k === null) {
      k = cellAt(map.getCenter());
      if (k === null) { k = Math.floor(D.rows / 2) * D.cols + Math.floor(D.cols / 2); }
    } else {
      var r = Math.min(D.rows - 1, Math.max(0, Math.floor(k / D.cols) + moves[e.key][0]));
      var c = Math.min(D.cols - 1, Math.max(0, k % D.cols + moves[e.key][1]));
      k = r * D.cols + c;
    }
    state.cursor = k;
    map.panInside([(Math.floor(k / D.cols) + 0.5) * D.sideM, (k % D.cols + 0.5) * D.sideM], { padding: [40, 40], animate: false });
    top_.redraw();
    hover.textContent = 'Cell ' + cellName(k) + ': ' + figureWords(k);
    say('Cell ' + cellName(k) + ', ' + figureWords(k));
  } else if (e.key === 'Enter' && state.cursor !== null) {
    chooseCell(state.cursor);
    keepAddress(true);
  } else if (e.key === '+' || e.key === '=') { map.zoomIn(0.5, { animate: false });
  } else if (e.key === '-') { map.zoomOut(0.5, { animate: false });
  } else if (e.key === '0') { map.fitBounds(HOME, { animate: false });
  } else if (e.key === 'Escape') { clearChoice();
  } else { return; }
  e.preventDefault();
}
function startMap() {
  mapNode.append(hover);
  map = L.map(mapNode, {
    crs: L.CRS.Simple, attributionControl: false, zoomControl: false, keyboard: false, zoomAnimation: false, fadeAnimation: false,
    inertia: false, scrollWheelZoom: false, zoomSnap: 0.25, zoomDelta: 0.5, minZoom: -20, maxZoom: 4, doubleClickZoom: false
  });
  map.fitBounds(HOME, { animate: false });
  map.setMinZoom(map.getZoom() - 2);
  map.setMaxZoom(map.getZoom() + 5);
  map.setMaxBounds(GRID.pad(0.5));
  L.control.scale({ imperial: false, maxWidth: 140 }).addTo(map);
  base = new Sheet(paintBase, 0.25).addTo(map);
  top_ = new Sheet(paintTop, 0.25).addTo(map);
  map.on('click', function (e) {
    var pig = pigAt(e.containerPoint), k = cellAt(e.latlng);
    if (pig !== null) { choosePig(pig, false); } else if (k !== null) {
      var b = state.shown === 'blocks' ? areaNumber(e.latlng.lng, e.latlng.lat, D.blocks) : null;
      if (b !== null) { opener = null; chooseArea('block', D.blocks[b], false); } else { chooseCell(k); }
    }
    keepAddress(true);
  });
  map.on('mousemove', function (e) {
    var pig = pigAt(e.containerPoint), k = cellAt(e.latlng);
    hover.textContent = pig !== null ? 'Pig ' + D.positives[pig].id + (D.positives[pig].confirmed ? ', confirmed' : ', suspect')
      : k !== null ? 'Cell ' + cellName(k) + ': ' + figureWords(k) + clearAt(e.containerPoint) : '';
    mapNode.style.cursor = pig !== null ? 'pointer' : '';
  });
  map.on('mouseout', function () { hover.textContent = ''; });
  // The wheel belongs to the page until the map has been entered by click or key.
  mapNode.addEventListener('focus', function () { map.scrollWheelZoom.enable(); });
  mapNode.addEventListener('blur', function () { map.scrollWheelZoom.disable(); });
  mapNode.addEventListener('keydown', keyOnMap);
  document.getElementById('nearer').addEventListener('click', function () { map.zoomIn(0.5, { animate: false }); });
  document.getElementById('farther').addEventListener('click', function () { map.zoomOut(0.5, { animate: false }); });
  document.getElementById('whole').addEventListener('click', function () { map.fitBounds(GRID, { animate: false }); });
  figureSelect.addEventListener('change', function () { state.shown = figureSelect.value; show(); keepAddress(true); });
  slider.max = D.periods.length - 1;
  slider.addEventListener('input', function () { state.period = Number(slider.value); state.shown = 'period'; show(); keepAddress(false); });
  document.querySelectorAll('[data-mark]').forEach(function (box) {
    box.addEventListener('change', function () { state.marks[box.dataset.mark] = box.checked; show(); });
  });
  emptyPanel();
}
// Name of the negative pig under the pointer, where ids were sent.
function clearAt(point) {
  if (!state.marks.clear || !D.clear.id.length) { return ''; }
  var near = 6, best = null, at = D.clear.at, here = map.containerPointToLatLng(point), reach = near / map.options.crs.scale(map.getZoom());
  for (var i = 0; i < at.length; i += 2) {
    var d = Math.hypot(at[i] - here.lng, at[i + 1] - here.lat);
    if (d < reach) { reach = d; best = i / 2; }
  }
  return best === null ? '' : '; negative pig ' + D.clear.id[best] + ', killed ' + isoDay(D.clear.killed[best]);
}
