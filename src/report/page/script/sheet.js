// A sheet: a canvas over the map, drawn afresh in screen pixels whenever the view has settled.
var Sheet = L.Layer.extend({
  initialize: function (draw, pad) { this.paint = draw; this.pad = pad; },
  onAdd: function (map) {
    this.canvas = el('canvas', { 'aria-hidden': 'true' });
    map.getPane('overlayPane').append(this.canvas);
    map.on('moveend zoomend viewreset resize', this.redraw, this);
    this.redraw();
  },
  onRemove: function (map) {
    this.canvas.remove();
    map.off('moveend zoomend viewreset resize', this.redraw, this);
  },
  redraw: function () {
    var map = this._map;
    if (!map) { return; }
    var size = map.getSize();
    if (!size.x || !size.y) { return; }
    var margin = Math.round(Math.min(size.x, size.y) * this.pad);
    var corner = map.containerPointToLayerPoint([-margin, -margin]);
    // On a lattice of 8 pixels, so that hatching does not crawl as the map is moved.
    corner = L.point(Math.floor(corner.x / 8) * 8, Math.floor(corner.y / 8) * 8);
    L.DomUtil.setPosition(this.canvas, corner);
    var ratio = Math.min(window.devicePixelRatio || 1, 2);
    var w = size.x + 2 * margin + 8, h = size.y + 2 * margin + 8;
    this.canvas.width = w * ratio;
    this.canvas.height = h * ratio;
    this.canvas.style.width = w + 'px';
    this.canvas.style.height = h + 'px';
    var ctx = this.canvas.getContext('2d');
    ctx.setTransform(ratio, 0, 0, ratio, 0, 0);
    var zero = map.latLngToLayerPoint([0, 0]).subtract(corner);
    var scale = map.options.crs.scale(map.getZoom());
    var seen = map.containerPointToLayerPoint([0, 0]).subtract(corner);
    this.paint(ctx, {
      w: w, h: h, scale: scale,
      x: function (x) { return zero.x + x * scale; },
      y: function (y) { return zero.y - y * scale; },
      left: seen.x, top: seen.y, right: seen.x + size.x, bottom: seen.y + size.y
    });
  }
});

function hatching() {
  var tile = el('canvas', { width: 8, height: 8 });
  var c = tile.getContext('2d');
  c.strokeStyle = 'rgba(90,84,68,.62)';
  c.lineWidth = 1;
  [-8, 0, 8].forEach(function (k) { c.beginPath(); c.moveTo(k - 1, 9); c.lineTo(k + 9, -1); c.stroke(); });
  return tile;
}
function dotting() {
  var tile = el('canvas', { width: 8, height: 8 });
  var c = tile.getContext('2d');
  c.fillStyle = '#fbfaf6';
  c.fillRect(0, 0, 8, 8);
  c.fillStyle = '#b3ad9b';
  c.fillRect(3, 3, 1.6, 1.6);
  return tile;
}
var HATCH = hatching(), DOTS = dotting();

function drawCells(ctx, view, shown, period) {
  var colours = coloursOf(shown), side = D.sideM;
  // Near squares only: rows and columns whose edges fall on the sheet.
  var c0 = Math.max(0, Math.floor((0 - view.x(0)) / (side * view.scale)));
  var c1 = Math.min(D.cols - 1, Math.floor((view.w - view.x(0)) / (side * view.scale)));
  var r0 = Math.max(0, Math.floor((view.y(0) - view.h) / (side * view.scale)));
  var r1 = Math.min(D.rows - 1, Math.floor(view.y(0) / (side * view.scale)));
  var hatch = ctx.createPattern(HATCH, 'repeat'), dots = ctx.createPattern(DOTS, 'repeat');
  for (var r = r0; r <= r1; r += 1) {
    var y1 = Math.round(view.y(r * side)), y0 = Math.round(view.y(Math.min(D.heightM, (r + 1) * side)));
    for (var c = c0; c <= c1; c += 1) {
      var k = r * D.cols + c, step = classOf(k, shown, period);
      if (step === null) { continue; }
      var blank = D.cells.blank[k] && shown !== 'coverage' && shown !== 'period';
      var x0 = Math.round(view.x(c * side)), x1 = Math.round(view.x(Math.min(D.widthM, (c + 1) * side)));
      ctx.fillStyle = blank ? dots : colours[step];
      ctx.fillRect(x0, y0, x1 - x0, y1 - y0);
      // Unseen is hatched wherever the figure is a statement about now.
      if (!blank && D.cells.standing[k] === 3 && shown !== 'coverage' && shown !== 'period') {
        ctx.fillStyle = hatch;
        ctx.fillRect(x0, y0, x1 - x0, y1 - y0);
      }
    }
  }
}
function drawRings(ctx, view, list, width, dash, colour) {
  ctx.lineWidth = width;
  ctx.setLineDash(dash);
  ctx.strokeStyle = colour;
  ctx.beginPath();
  list.forEach(function (a) {
    a.rings.forEach(function (r) {
      for (var i = 0; i < r.length; i += 2) {
        if (i === 0) { ctx.moveTo(view.x(r[0]), view.y(r[1])); } else { ctx.lineTo(view.x(r[i]), view.y(r[i + 1])); }
      }
      ctx.closePath();
    });
  });
  ctx.stroke();
  ctx.setLineDash([]);
}
// Blocks by how often they are in the best set; those chosen outlined and named.
function drawChoice(ctx, view) {
  var hatch = ctx.createPattern(HATCH, 'repeat');
  function path(b) {
    ctx.beginPath();
    b.rings.forEach(function (r) {
      for (var i = 0; i < r.length; i += 2) {
        if (i === 0) { ctx.moveTo(view.x(r[0]), view.y(r[1])); } else { ctx.lineTo(view.x(r[i]), view.y(r[i + 1])); }
      }
      ctx.closePath();
    });
  }
  D.blocks.forEach(function (b, i) {
    var p = share(D.choice[i][0]);
    path(b);
    ctx.fillStyle = p === null ? hatch : D.steps.best.colours[stepOf(p, D.steps.best.edges)];
    ctx.fill('evenodd');
  });
  // The set that is asked for on the page; before anything is asked, that of the study's budget.
  var chosen = function (i) { return W && W.now ? W.now.some(function (m) { return W.ops[m].block === i; }) : D.choice[i][1] !== ''; };
  D.blocks.forEach(function (b, i) {
    if (!chosen(i)) { return; }
    path(b);
    ctx.lineJoin = 'round';
    ctx.lineWidth = 6; ctx.strokeStyle = '#ffffff'; ctx.stroke();
    ctx.lineWidth = 3.2; ctx.strokeStyle = '#0b5bd3'; ctx.stroke();
  });
  D.blocks.forEach(function (b, i) {
    if (!chosen(i) || !b.label) { return; }
    var mine = W && W.now ? W.now.filter(function (m) { return W.ops[m].block === i; }) : [];
    var first = mine.length ? W.now.indexOf(mine[0]) + 1 + ' ' : '';
    written(ctx, first + b.name, view.x(b.label[0]), view.y(b.label[1]), 'center', true);
    var hosts = mine.length ? mine.map(function (m) { return W.ops[m].host; }).join(', ') : D.choice[i][1];
    written(ctx, hosts, view.x(b.label[0]), view.y(b.label[1]) + 14, 'center', false);
  });
}
function written(ctx, text, x, y, align, bold) {
  ctx.font = (bold ? '600 ' : '') + '12px "Gill Sans", Seravek, Ubuntu, "Segoe UI", sans-serif';
  ctx.textAlign = align;
  ctx.lineJoin = 'round';
  ctx.lineWidth = 3.5;
  ctx.strokeStyle = 'rgba(255,255,255,.9)';
  ctx.strokeText(text, x, y);
  ctx.fillStyle = '#1c1f26';
  ctx.fillText(text, x, y);
}
function drawGraticule(ctx, view) {
  D.graticule.forEach(function (line) {
    var p = line.points, at = null;
    ctx.lineWidth = 0.7;
    ctx.strokeStyle = 'rgba(28,31,38,.38)';
    ctx.beginPath();
    for (var i = 0; i < p.length; i += 2) {
      var x = view.x(p[i]), y = view.y(p[i + 1]);
      if (i === 0) { ctx.moveTo(x, y); } else { ctx.lineTo(x, y); }
    }
    ctx.stroke();
    // The label stands where the line meets the view's top (meridians) or right edge (parallels).
    for (var j = 0; j + 3 < p.length && at === null; j += 2) {
      var ax = view.x(p[j]), ay = view.y(p[j + 1]), bx = view.x(p[j + 2]), by = view.y(p[j + 3]);
      var edge = line.meridian ? view.top + 14 : view.right - 4;
      var a = line.meridian ? ay : ax, b = line.meridian ? by : bx;
      if ((a - edge) * (b - edge) <= 0 && a !== b) {
        var f = (edge - a) / (b - a);
        at = [ax + f * (bx - ax), ay + f * (by - ay)];
      }
    }
    if (at) { written(ctx, line.label, line.meridian ? at[0] + 3 : at[0], line.meridian ? at[1] : at[1] - 4, line.meridian ? 'left' : 'right', false); }
  });
}
// A positive by what it says now: gold and larger the surer it was infected here lately, hollow before that.
function diamond(ctx, x, y, now) {
  var recent = now !== null && now >= 0.05, r = recent ? 5 + 5 * Math.sqrt(now) : 3.6;
  ctx.beginPath();
  ctx.moveTo(x, y - r); ctx.lineTo(x + r, y); ctx.lineTo(x, y + r); ctx.lineTo(x - r, y);
  ctx.closePath();
  ctx.lineWidth = recent ? 3.8 : 2.4;
  ctx.strokeStyle = '#ffffff';
  ctx.stroke();
  ctx.fillStyle = recent ? '#f2b600' : '#ffffff';
  ctx.fill();
  ctx.lineWidth = recent ? 1.8 : 1.1;
  ctx.strokeStyle = '#14263a';
  ctx.stroke();
}
// Pigs that would close each gap, in a disc where it is widest.
function drawNeeds(ctx, view, gaps) {
  gaps.forEach(function (g) {
    if (!g.label) { return; }
    var x = view.x(g.label[0]), y = view.y(g.label[1]), text = g.said.replace('more than ', '>');
    var r = 8 + 3 * text.length;
    ctx.beginPath();
    ctx.arc(x, y, r, 0, 7);
    ctx.fillStyle = '#1d4f4e';
    ctx.fill();
    ctx.lineWidth = 2; ctx.strokeStyle = '#ffffff'; ctx.stroke();
    ctx.font = '600 12px "Gill Sans", Seravek, Ubuntu, "Segoe UI", sans-serif';
    ctx.textAlign = 'center';
    ctx.fillStyle = '#ffffff';
    ctx.fillText(text, x, y + 4);
  });
}
// The boundary of a set of squares: its sides that no two squares share.
function drawSet(ctx, view, set, dash) {
  var side = D.sideM;
  ctx.beginPath();
  set.forEach(function (k) {
    var r = Math.floor(k / D.cols), c = k % D.cols;
    var x0 = view.x(c * side), x1 = view.x((c + 1) * side), y0 = view.y(r * side), y1 = view.y((r + 1) * side);
    if (!set.has(k - D.cols)) { ctx.moveTo(x0, y0); ctx.lineTo(x1, y0); }
    if (!set.has(k + D.cols)) { ctx.moveTo(x0, y1); ctx.lineTo(x1, y1); }
    if (c === 0 || !set.has(k - 1)) { ctx.moveTo(x0, y0); ctx.lineTo(x0, y1); }
    if (c === D.cols - 1 || !set.has(k + 1)) { ctx.moveTo(x1, y0); ctx.lineTo(x1, y1); }
  });
  [['#ffffff', 5, []], ['#14263a', 2.2, dash]].forEach(function (pen) {
    ctx.strokeStyle = pen[0];
    ctx.lineWidth = pen[1];
    ctx.setLineDash(pen[2]);
    ctx.stroke();
  });
  ctx.setLineDash([]);
}
