// Building elements: text only ever becomes a text node or an attribute.
function el(name, attributes, children) {
  var node = document.createElement(name);
  return fill(node, attributes, children);
}
function svgEl(name, attributes, children) {
  var node = document.createElementNS('http://www.w3.org/2000/svg', name);
  return fill(node, attributes, children);
}
function fill(node, attributes, children) {
  Object.keys(attributes || {}).forEach(function (k) { node.setAttribute(k, attributes[k]); });
  (children || []).forEach(function (c) { node.append(c); });
  return node;
}
var drawn = 0;
function drawing(width, height, title, description, parts) {
  drawn += 1;
  var id = 'drawn' + drawn;
  return svgEl('svg', { viewBox: '0 0 ' + width + ' ' + height, role: 'img', 'aria-labelledby': id + 't ' + id + 'd' },
    [svgEl('title', { id: id + 't' }, [title]), svgEl('desc', { id: id + 'd' }, [description])].concat(parts));
}
function label(x, y, anchor, text) { return svgEl('text', { x: x, y: y, 'text-anchor': anchor, 'class': 'tick' }, [text]); }
