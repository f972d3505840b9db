// Tables: numbers to the right, rows by any column, each as a file; the words and the map to take away.
function download(name, type, text) {
  var link = el('a', { href: URL.createObjectURL(text instanceof Blob ? text : new Blob([text], { type: type })), download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(function () { URL.revokeObjectURL(link.href); }, 5000);
}
function plainName(text) { return text.toLowerCase().replace(/[^a-z0-9]+/g, '-').replace(/^-|-$/g, '').slice(0, 60); }
function cellText(c) { return c.textContent.replace(/\s+/g, ' ').trim(); }
// The number a cell begins with; a cell without one sorts by its text.
function leading(text) {
  var m = text.replace(/[\u202f\u00a0](?=\d)/g, '').match(/^(under |over |fewer than |more than |about )?([−+-]?\d+(\.\d+)?)(?![\d-])/);
  return m ? Number(m[2].replace('−', '-')) + (m[1] === 'under ' || m[1] === 'fewer than ' ? -1e-9 : m[1] ? 1e-9 : 0) : null;
}
function sortBy(table, column, button) {
  var down = button.getAttribute('aria-sort-now') !== 'descending';
  table.querySelectorAll('.sorter').forEach(function (b) { b.removeAttribute('aria-sort-now'); b.closest('th').removeAttribute('aria-sort'); });
  button.setAttribute('aria-sort-now', down ? 'descending' : 'ascending');
  button.closest('th').setAttribute('aria-sort', down ? 'descending' : 'ascending');
  var body = table.tBodies[0], rows = Array.prototype.slice.call(body.rows);
  var keyed = rows.map(function (r, i) { var t = cellText(r.cells[column]), n = leading(t); return { row: r, text: t, number: n, at: i }; });
  keyed.sort(function (a, b) {
    var d = a.number !== null && b.number !== null ? a.number - b.number : a.number !== null ? 1 : b.number !== null ? -1 : a.text < b.text ? -1 : a.text > b.text ? 1 : 0;
    return (down ? -d : d) || a.at - b.at;
  });
  keyed.forEach(function (k) { body.append(k.row); });
}
function asCsv(table) {
  var quote = function (t) { return /[",\n]/.test(t) ? '"' + t.replace(/"/g, '""') + '"' : t; };
  return Array.prototype.map.call(table.rows, function (r) { return Array.prototype.map.call(r.cells, function (c) { return quote(cellText(c)); }).join(','); }).join('\r\n') + '\r\n';
}
function dressTables() {
  document.querySelectorAll('.way .scroll table').forEach(function (table) {
    var heads = table.tHead ? table.tHead.rows[0].cells : [], plain = table.tBodies.length === 1 && !table.querySelector('[rowspan], [colspan]');
    var rows = table.tBodies[0] ? table.tBodies[0].rows : [];
    Array.prototype.forEach.call(heads, function (th, k) {
      var cells = Array.prototype.map.call(rows, function (r) { return r.cells[k]; }).filter(Boolean);
      if (plain && cells.length && cells.every(function (c) { var t = cellText(c); return t === '' || t === 'none' || t.indexOf('not estimated') === 0 || leading(t) !== null; }) && cells.some(function (c) { return leading(cellText(c)) !== null; })) {
        cells.concat([th]).forEach(function (c) { c.classList.add('number'); });
      }
      if (plain && rows.length > 2) {
        var b = el('button', { type: 'button', 'class': 'sorter', title: 'Sort the rows by this column' }, Array.prototype.slice.call(th.childNodes));
        th.replaceChildren(b);
        b.addEventListener('click', function () { sortBy(table, k, b); });
      }
      // On a narrow screen each row is a card that repeats the column's name.
      cells.forEach(function (c) { c.dataset.head = cellText(th); });
    });
    if (plain && heads.length) {
      table.classList.add('cards-when-narrow');
      var save = el('button', { type: 'button', 'class': 'save' }, ['This table as CSV']);
      var named = table.closest('.scroll').getAttribute('aria-labelledby'), title = named ? document.getElementById(named).textContent : table.closest('.scroll').getAttribute('aria-label') || 'table';
      save.setAttribute('aria-label', 'This table as CSV: ' + title);
      save.addEventListener('click', function () { download(plainName(title) + '.csv', 'text/csv', '\ufeff' + asCsv(table)); });
      table.closest('.scroll').after(save);
    }
  });
}
function mapAsPng() {
  var size = map.getSize(), ratio = 2, c = el('canvas', { width: size.x * ratio, height: size.y * ratio }), ctx = c.getContext('2d');
  ctx.fillStyle = '#fbfaf6';
  ctx.fillRect(0, 0, c.width, c.height);
  var frame = mapNode.getBoundingClientRect();
  mapNode.querySelectorAll('canvas').forEach(function (k) {
    var r = k.getBoundingClientRect();
    ctx.drawImage(k, (r.left - frame.left) * ratio, (r.top - frame.top) * ratio, r.width * ratio, r.height * ratio);
  });
  c.toBlob(function (b) { download(plainName(document.querySelector('h1').textContent) + '-map.png', 'image/png', b); });
}
// The still map with its styles, so that it stands alone.
function mapAsSvg() {
  var svg = document.querySelector('.way.current svg.still').cloneNode(true);
  svg.setAttribute('xmlns', 'http://www.w3.org/2000/svg');
  var live = document.querySelectorAll('.way.current svg.still *');
  svg.querySelectorAll('*').forEach(function (n, i) {
    var s = getComputedStyle(live[i]);
    ['fill', 'stroke', 'stroke-width', 'stroke-dasharray', 'font-size', 'font-weight', 'font-family'].forEach(function (p) { if (s.getPropertyValue(p)) { n.style.setProperty(p, s.getPropertyValue(p)); } });
  });
  download(plainName(document.querySelector('h1').textContent) + '-map.svg', 'image/svg+xml', new XMLSerializer().serializeToString(svg));
}
function wordsOf(way) {
  var parts = [document.querySelector('h1').textContent + ', ' + document.querySelector('.facts').textContent.trim()];
  way.querySelectorAll('.banner, .opening p, .card h3, .card > p, .card li, .card dt, .card dd, .card .chance, #what-said p, #what-list li').forEach(function (n) { parts.push(cellText(n)); });
  return parts.filter(function (t, i) { return t && parts.indexOf(t) === i; }).join('\n') + '\n';
}
function startTaking() {
  var acts = { png: mapAsPng, svg: mapAsSvg, print: function () { window.print(); }, words: function () { var w = document.querySelector('.way.current'); download(plainName(document.querySelector('h1').textContent) + '-' + w.id + '.txt', 'text/plain', wordsOf(w)); } };
  document.querySelectorAll('[data-take]').forEach(function (b) { b.addEventListener('click', function () { acts[b.dataset.take](); }); });
  document.querySelectorAll('.take').forEach(function (t) { t.hidden = false; });
}
