// The three ways in: one question at a time, the map going along.
var ways = Array.prototype.slice.call(document.querySelectorAll('.way'));
// The address holds the way, what the map shows, what is chosen and what was asked: #first&budget=250000.
function told(hash) {
  var out = {};
  hash.slice(1).split('&').forEach(function (p, i) {
    var at = p.indexOf('=');
    if (i === 0) { out.way = p; } else if (at > 0) { try { out[p.slice(0, at)] = decodeURIComponent(p.slice(at + 1)); } catch (e) { out[p.slice(0, at)] = ''; } }
  });
  return out;
}
function wayOf(hash) {
  var target = hash ? document.getElementById(told(hash).way) : null;
  return target ? target.closest('.way') : ways[0];
}
function keepAddress(step) {
  var way = document.querySelector('.way.current'), list = [way.id];
  var put = function (name, value) { list.push(name + '=' + encodeURIComponent(value)); };
  if (state.shown !== way.querySelector('.map-slot').dataset.figure) { put('map', state.shown); }
  if (state.shown === 'period') { put('period', state.period); }
  if (state.pig !== null) { put('pig', D.positives[state.pig].id); } else if (state.opened !== null) { put('cell', cellName(state.opened)); } else if (state.area) { put(state.area[0], state.area[1]); }
  if (W) {
    var ids = function (set) { return Object.keys(set).map(function (m) { return W.ops[m].id; }).join(','); };
    if (asked.budget !== W.budget) { put('budget', asked.budget); }
    if (Object.keys(asked.must).length) { put('must', ids(asked.must)); }
    if (Object.keys(asked.never).length) { put('never', ids(asked.never)); }
  }
  var hash = '#' + list.join('&');
  if (hash !== location.hash) { history[step ? 'pushState' : 'replaceState'](null, '', hash); }
}
function cellNumber(name) { for (var k = 0; k < D.rows * D.cols; k += 1) { if (cellName(k) === name) { return k; } } return null; }
function applyAddress() {
  var t = told(location.hash), slot = document.querySelector('.way.current .map-slot');
  state.shown = t.map && figureSelect.querySelector('option[value="' + t.map.replace(/[^a-z]/g, '') + '"]') ? t.map : slot.dataset.figure;
  if (state.shown === 'period' && Number(t.period) >= 0 && Number(t.period) < D.periods.length) { state.period = Math.floor(Number(t.period)); }
  if (W) {
    asked.budget = t.budget !== undefined && Number(t.budget) >= 0 ? Number(t.budget) : W.budget;
    ['must', 'never'].forEach(function (n) {
      asked[n] = {};
      (t[n] || '').split(',').forEach(function (id) { W.ops.forEach(function (o, m) { if (o.id === id && o.fixed === 'free') { asked[n][m] = true; } }); });
    });
    showAsked();
  }
  if (t.pig !== undefined) {
    var i = D.positives.findIndex(function (p) { return p.id === t.pig; });
    if (i >= 0) { choosePig(i, true); }
  } else if (t.cell !== undefined) {
    var k = cellNumber(t.cell);
    if (k !== null) { chooseCell(k); }
  } else {
    var kind = ['zone', 'block', 'gap'].find(function (n) { return t[n] !== undefined; });
    var list = { zone: D.zones, block: D.blocks, gap: D.gaps.concat(D.deepGaps) }[kind] || [], at = list.findIndex(function (a) { return a.name === t[kind]; });
    if (at >= 0) { chooseArea(kind, list[at], false); } else { clearChoice(); }
  }
  show();
}
function enter(way, focus) {
  if (!way) { return; }
  ways.forEach(function (w) { w.classList.toggle('current', w === way); });
  document.querySelectorAll('.ways a').forEach(function (a) {
    if (a.getAttribute('href') === '#' + way.id) { a.setAttribute('aria-current', 'page'); } else { a.removeAttribute('aria-current'); }
  });
  var slot = way.querySelector('.map-slot');
  if (mapBlock.parentNode !== slot) {
    slot.append(mapBlock);
    mapBlock.hidden = false;
    if (!map) { startMap(); } else { map.invalidateSize({ animate: false }); }
    state.shown = slot.dataset.figure;
    show();
  }
  if (focus) { way.focus({ preventScroll: true }); window.scrollTo(0, 0); }
}
document.documentElement.classList.add('scripted');
dressTables();
enter(wayOf(location.hash), false);
startWhatIf();
startTaking();
applyAddress();
document.querySelectorAll('.ways a').forEach(function (a) {
  a.addEventListener('click', function (e) {
    e.preventDefault();
    enter(wayOf(a.getAttribute('href')), true);
    keepAddress(true);
  });
});
// Back, forward, or another address typed in.
window.addEventListener('popstate', function () {
  // Within a way, or in the foot, the browser scrolls by itself.
  var target = location.hash ? document.getElementById(told(location.hash).way) : ways[0];
  if (target && target.classList.contains('way')) { enter(target, false); applyAddress(); }
});
document.addEventListener('click', function (e) {
  var link = e.target.closest('[data-way]');
  if (link) { e.preventDefault(); enter(document.getElementById(link.dataset.way), true); keepAddress(true); }
});
function toMap() {
  var r = panel.getBoundingClientRect();
  if (r.top < 0 || r.top > window.innerHeight - 120) { (window.innerWidth < 1000 ? panel : mapBlock).scrollIntoView({ block: 'nearest' }); }
  panel.focus({ preventScroll: true });
}
function boundsOf(area) {
  var box = L.latLngBounds([]);
  area.rings.forEach(function (r) { for (var i = 0; i < r.length; i += 2) { box.extend([r[i + 1], r[i]]); } });
  return box;
}
document.addEventListener('click', function (e) {
  var b = e.target.closest('[data-pig], [data-zone], [data-block], [data-gap]');
  if (!b) { return; }
  if (b.dataset.pig !== undefined) {
    opener = b.tagName === 'BUTTON' ? b : null;
    choosePig(Number(b.dataset.pig), true);
  } else {
    opener = b.tagName === 'BUTTON' ? b : null;
    if (b.dataset.zone !== undefined) { chooseArea('zone', D.zones[Number(b.dataset.zone)], true); }
    else if (b.dataset.block !== undefined) { chooseArea('block', D.blocks[Number(b.dataset.block)], true); }
    else { chooseArea('gap', D.gaps.concat(D.deepGaps).find(function (g) { return g.name === b.dataset.gap; }), true); }
  }
  keepAddress(true);
  toMap();
});
// Rows and shapes: what is under the pointer in a list is outlined on the map.
['mouseover', 'focusin'].forEach(function (kind) {
  document.addEventListener(kind, function (e) {
    var b = e.target.closest && e.target.closest('[data-zone], [data-block]'), was = state.under;
    state.under = b ? (b.dataset.zone !== undefined ? D.zones[Number(b.dataset.zone)] : D.blocks[Number(b.dataset.block)]) : null;
    if (was !== state.under && top_) { top_.redraw(); }
  });
});
