// The three ways in: one question at a time, the map going along.
var ways = Array.prototype.slice.call(document.querySelectorAll('.way'));
function wayOf(hash) {
  var target = hash ? document.getElementById(hash.slice(1)) : null;
  return target ? target.closest('.way') : ways[0];
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
enter(wayOf(location.hash), false);
document.querySelectorAll('.ways a').forEach(function (a) {
  a.addEventListener('click', function (e) {
    e.preventDefault();
    history.replaceState(null, '', a.getAttribute('href'));
    enter(wayOf(a.getAttribute('href')), true);
  });
});
window.addEventListener('hashchange', function () {
  // Within a way, or in the foot, the browser scrolls by itself.
  var target = location.hash ? document.getElementById(location.hash.slice(1)) : null;
  if (target && target.classList.contains('way')) { enter(target, true); }
});
function toMap() {
  mapBlock.scrollIntoView({ block: 'start' });
  panel.focus({ preventScroll: true });
}
function boundsOf(area) {
  var box = L.latLngBounds([]);
  area.rings.forEach(function (r) { for (var i = 0; i < r.length; i += 2) { box.extend([r[i + 1], r[i]]); } });
  return box;
}
document.addEventListener('click', function (e) {
  var b = e.target.closest('[data-pig], [data-zone], [data-block]');
  if (!b) { return; }
  if (b.dataset.pig !== undefined) {
    opener = b.tagName === 'BUTTON' ? b : null;
    choosePig(Number(b.dataset.pig), true);
  } else {
    var area = b.dataset.zone !== undefined ? D.zones[Number(b.dataset.zone)] : D.blocks[Number(b.dataset.block)];
    map.fitBounds(boundsOf(area).pad(0.1), { animate: false });
    say(area.name + ' is in view on the map.');
  }
  toMap();
});
