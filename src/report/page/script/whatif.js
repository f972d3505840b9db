// What if: another budget, operations that must or must not be done. Solved here, from the stored samples.
var W = D.whatIf, asked = { budget: W ? W.budget : 0, must: {}, never: {} };
var MOST_NODES = 400000;

// The best set at a budget: branch and bound over operations treated together, bounded by the money alone.
function bestSet(budget, must, never) {
  var units = [], largest = 0, allCost = 1, i;
  W.ops.forEach(function (o, k) {
    if (W.leader[k] !== k) { return; }
    var members = [];
    W.ops.forEach(function (_, m) { if (W.leader[m] === k) { members.push(m); } });
    var sum = function (f) { return members.reduce(function (s, m) { return s + f(m); }, 0); };
    var some = function (f) { return members.some(f); };
    units.push({
      members: members, cost: sum(function (m) { return W.ops[m].cost; }), area: sum(function (m) { return W.ops[m].area; }),
      gain: sum(function (m) { return W.ops[m].gain; }),
      into: some(function (m) { return must[m] || W.ops[m].fixed === 'in'; }), out: some(function (m) { return never[m] || W.ops[m].fixed === 'out'; })
    });
  });
  if (units.some(function (u) { return u.into && u.out; })) { return null; }
  var wanted = units.filter(function (u) { return u.into; }), free = units.filter(function (u) { return !u.into && !u.out && u.cost <= budget; });
  free.forEach(function (u) { largest = Math.max(largest, u.gain); allCost += u.cost; });
  // Of equal sets the cheaper one.
  free.forEach(function (u) { u.value = u.gain / Math.max(largest, 1e-12) - 1e-6 * u.cost / allCost; u.rate = u.cost > 0 ? u.value / u.cost : Infinity; });
  free.sort(function (a, b) { return b.rate - a.rate || a.cost - b.cost; });
  var room = budget, area = W.seasonArea === null ? Infinity : W.seasonArea, chosen = {};
  wanted.forEach(function (u) { room -= u.cost; area -= u.area; u.members.forEach(function (m) { chosen[m] = true; }); });
  if (room < 0 || area < -1e-6) { return null; }
  // Rows that the set must meet, judged when every operation is settled.
  function meets(set) {
    return W.anyOf.every(function (row) { return row.some(function (m) { return set[m]; }); }) && W.leastLand.every(function (l) {
      var land = 0;
      l.blocks.forEach(function (b) { if (W.ops.some(function (o, m) { return o.block === b[0] && set[m]; })) { land += b[1]; } });
      return land >= l.least - 1e-9;
    });
  }
  var best = null, bestValue = -Infinity, taken = [], nodes = 0, cut = -Infinity;
  function bound(k, money) {
    var v = 0;
    for (var j = k; j < free.length; j += 1) {
      if (free[j].value <= 0) { continue; }
      if (free[j].cost <= money) { money -= free[j].cost; v += free[j].value; } else { return v + free[j].value * money / free[j].cost; }
    }
    return v;
  }
  function down(k, value, money, land) {
    if (value + bound(k, money) <= bestValue + 1e-12) { return; }
    if (nodes >= MOST_NODES) { cut = Math.max(cut, value + bound(k, money)); return; }
    nodes += 1;
    if (k === free.length) {
      var set = Object.assign({}, chosen);
      taken.forEach(function (u) { u.members.forEach(function (m) { set[m] = true; }); });
      if (value > bestValue && meets(set)) { bestValue = value; best = set; }
      return;
    }
    var u = free[k];
    if (u.cost <= money && u.area <= land + 1e-6) {
      taken.push(u);
      down(k + 1, value + u.value, money - u.cost, land - u.area);
      taken.pop();
    }
    down(k + 1, value, money, land);
  }
  down(0, 0, room, area);
  if (!best) { return null; }
  var list = Object.keys(best).map(Number);
  var gain = list.reduce(function (s, m) { return s + W.ops[m].gain; }, 0);
  return { set: list, gain: gain, cost: list.reduce(function (s, m) { return s + W.ops[m].cost; }, 0), more: cut > bestValue ? (cut - bestValue) * largest : 0 };
}
function quantile(list, p) {
  var s = list.slice().sort(function (a, b) { return a - b; }), h = (s.length - 1) * p, k = Math.floor(h);
  return s[k] + (h - k) * (s[Math.min(k + 1, s.length - 1)] - s[k]);
}
function removedBySample(set) {
  return W.samples[0].map(function (_, d) { return set.reduce(function (s, m) { return s + W.samples[m][d]; }, 0); });
}
function whole(v) { return String(Math.round(v)).replace(/\B(?=(\d{3})+(?!\d))/g, '\u202f'); }
function threeDigits(v) { var step = Math.pow(10, Math.max(0, Math.floor(Math.log10(Math.max(1, Math.abs(v)))) - 2)); return whole(Math.round(v / step) * step); }
function opName(m) { return W.ops[m].name + ' (' + W.ops[m].host + ')'; }
function money(v) { return W.currency + ' ' + whole(v); }
// A set nearly as good for clearly less money.
function nearlyAsGood(found) {
  var last = null, at = found;
  for (var k = 0; k < 12 && at && at.set.length; k += 1) {
    at = bestSet(at.cost - 1, asked.must, asked.never);
    if (!at || at.gain < 0.95 * found.gain) { break; }
    last = at;
  }
  return last;
}
function solveAsked() {
  var untouched = asked.budget === W.budget && !Object.keys(asked.must).length && !Object.keys(asked.never).length;
  if (!W.named && untouched) {
    W.now = [];
    document.getElementById('what-list').replaceChildren();
    document.getElementById('what-said').replaceChildren(el('p', {}, ['No block is named: a plan made without any pig would do about as well. Another budget or a must shows a plan all the same.']));
    return;
  }
  var found = bestSet(asked.budget, asked.must, asked.never), said = document.getElementById('what-said'), list = document.getElementById('what-list');
  if (!found) {
    list.replaceChildren();
    said.replaceChildren(el('p', {}, ['No set meets this: the money does not pay for what must be done, or an operation is both wanted and ruled out.']));
    W.now = null;
    return;
  }
  found.set.sort(function (a, b) { return (W.ops[b].gain / Math.max(W.ops[b].cost, 1e-9)) - (W.ops[a].gain / Math.max(W.ops[a].cost, 1e-9)); });
  var removed = removedBySample(found.set), usual = bestSet(W.budget, {}, {});
  list.replaceChildren.apply(list, found.set.map(function (m) {
    var o = W.ops[m];
    return el('li', {}, [el('button', { type: 'button', 'class': 'link', 'data-block': String(o.block) }, [o.name]), ', ' + o.host + 's, ' + money(o.cost) + ': about ' + threeDigits(o.gain) + ' ha']);
  }));
  var lines = ['With ' + money(asked.budget) + ': costs ' + money(found.cost) + ', expected to clear about ' + threeDigits(found.gain) + ' of ' + threeDigits(W.active) + ' active ha in blocks (90 % CrI ' + threeDigits(quantile(removed, 0.05)) + ' to ' + threeDigits(quantile(removed, 0.95)) + ').'];
  if (found.more > 0.5) { lines.push('The search was ended early: a set that clears up to ' + threeDigits(found.more) + ' ha more may exist.'); }
  var near = nearlyAsGood(found);
  if (near && found.gain > 0) {
    var out = found.set.filter(function (m) { return near.set.indexOf(m) < 0; }), into = near.set.filter(function (m) { return found.set.indexOf(m) < 0; });
    lines.push('Nearly as good: ' + (100 * (1 - near.gain / found.gain)).toFixed(1) + ' % less for ' + money(found.cost - near.cost) + ' less' + (out.length ? ', without ' + out.map(opName).join(', ') : '') + (into.length ? ', with ' + into.map(opName).join(', ') : '') + '.');
  }
  if (usual) {
    var lost = usual.set.filter(function (m) { return found.set.indexOf(m) < 0; }), won = found.set.filter(function (m) { return usual.set.indexOf(m) < 0; });
    if (lost.length || won.length) {
      lines.push('Against the plan with ' + money(W.budget) + ': ' + (lost.length ? 'given up: ' + lost.map(opName).join(', ') : '') + (lost.length && won.length ? '; ' : '') + (won.length ? 'gained: ' + won.map(opName).join(', ') : '') + '.');
    }
  }
  said.replaceChildren.apply(said, lines.map(function (t) { return el('p', {}, [t]); }));
  W.now = found.set;
}
function startWhatIf() {
  var box = document.getElementById('what-if');
  if (!W || !box) { return; }
  box.hidden = false;
  var input = document.getElementById('budget'), body = document.getElementById('what-rows');
  W.ops.forEach(function (o, m) {
    if (o.fixed !== 'free') { return; }
    var pick = el('select', { 'aria-label': 'Whether to treat ' + opName(m), 'data-op': String(m) }, [['', 'if it pays'], ['must', 'must'], ['never', 'never']].map(function (p) { return el('option', { value: p[0] }, [p[1]]); }));
    pick.addEventListener('change', function () {
      delete asked.must[m]; delete asked.never[m];
      if (pick.value) { asked[pick.value][m] = true; }
      solveAsked(); base.redraw(); keepAddress(false);
    });
    body.append(el('tr', {}, [el('th', { scope: 'row' }, [opName(m)]), el('td', {}, [whole(o.cost)]), el('td', {}, [threeDigits(o.gain)]), el('td', {}, [pick])]));
  });
  input.addEventListener('input', function () {
    var v = Number(input.value);
    if (input.value === '' || !(v >= 0)) { return; }
    asked.budget = v;
    solveAsked(); base.redraw(); keepAddress(false);
  });
  showAsked();
}
function showAsked() {
  if (!W) { return; }
  document.getElementById('budget').value = asked.budget;
  document.querySelectorAll('[data-op]').forEach(function (s) { var m = s.dataset.op; s.value = asked.must[m] ? 'must' : asked.never[m] ? 'never' : ''; });
  solveAsked();
}
