(function () {
'use strict';
const KEY = 'pignut-field-records';
const COLUMNS = ['occurrenceID', 'eventDate', 'decimalLatitude', 'decimalLongitude', 'geodeticDatum',
  'coordinateUncertaintyInMeters', 'sex', 'dentition', 'nodePairsExamined', 'grossLesion', 'labMethod', 'labResult'];
const $ = (id) => document.getElementById(id);
const show = (id, on) => { $(id).hidden = !on; };
const prefix = document.body.dataset.prefix;

// What is kept: on the device where it can be, otherwise until the page is closed.
let records = [];
let kept = true;
function load() {
  try {
    const read = JSON.parse(localStorage.getItem(KEY) || '[]');
    records = Array.isArray(read) ? read : [];
    localStorage.setItem(KEY, JSON.stringify(records));
  } catch (e) {
    kept = false;
  }
  show('store', !kept);
}
function save() {
  if (!kept) { return; }
  try {
    localStorage.setItem(KEY, JSON.stringify(records));
  } catch (e) {
    kept = false;
    show('store', true);
  }
}

function today() {
  const d = new Date();
  const two = (n) => String(n).padStart(2, '0');
  return d.getFullYear() + '-' + two(d.getMonth() + 1) + '-' + two(d.getDate());
}
// The next number of this device's own series.
function nextId() {
  const numbers = records.map((r) => r.occurrenceID).filter((id) => id.startsWith(prefix + '-'))
    .map((id) => parseInt(id.slice(prefix.length + 1), 10)).filter(Number.isFinite);
  return prefix + '-' + String(Math.max(0, ...numbers) + 1).padStart(3, '0');
}
function fresh() {
  $('form').reset();
  $('id').value = nextId();
  $('date').value = today();
  $('date').max = today();
  show('wear-part', false);
  show('bag', false);
  $('where').textContent = 'No position yet. Stand where the pig fell, or type the position from a GPS.';
}

function locate() {
  const where = $('where');
  if (!navigator.geolocation) {
    where.textContent = 'This browser gives no position. Type it from a GPS.';
    return;
  }
  where.textContent = 'Waiting for a position. Keep a clear view of the sky.';
  $('locate').disabled = true;
  navigator.geolocation.getCurrentPosition((p) => {
    $('locate').disabled = false;
    $('lat').value = p.coords.latitude.toFixed(6);
    $('lon').value = p.coords.longitude.toFixed(6);
    // The accuracy of the standard is the radius that holds the place with 95 %.
    $('off').value = String(Math.max(1, Math.ceil(p.coords.accuracy)));
    where.textContent = 'Position taken, off by ' + $('off').value + ' m at most.';
  }, (e) => {
    $('locate').disabled = false;
    const why = { 1: 'The device was not allowed to give its position.', 2: 'The device has no position here.', 3: 'No position came in time.' };
    where.textContent = (why[e.code] || 'No position.') + ' Type it from a GPS, or try again under open sky.';
  }, { enableHighAccuracy: true, timeout: 60000, maximumAge: 0 });
}

function dentition() {
  const teeth = $('teeth').value.trim();
  if (teeth) { return teeth; }
  const letter = document.querySelector('input[name=jaw]:checked').value;
  if (!letter) { return ''; }
  const wear = letter === 'H' ? $('wear').value : '';
  return 'class ' + letter + (wear ? '; wear ' + wear : '');
}
function pairs() {
  const all = ['parotid', 'mandibular', 'retropharyngeal'];
  const said = all.map((p) => $(p).value);
  if (said.every((s) => s === '')) { return ''; }
  if (said.every((s) => s === 'both')) { return 'all'; }
  const opened = all.filter((p, i) => said[i] === 'both' || said[i] === 'one')
    .map((p) => ($(p).value === 'one' ? p + ' one side' : p));
  return opened.length ? opened.join('; ') : 'none';
}

// What is wrong with the form, and the field it is wrong with.
function fault() {
  const id = $('id').value.trim();
  const number = (field) => ($(field).value.trim() === '' ? NaN : Number($(field).value.trim().replace(',', '.')));
  const [lat, lon, off] = ['lat', 'lon', 'off'].map(number);
  if (!id) { return ['id', 'Give the pig a number.']; }
  if (records.some((r) => r.occurrenceID === id)) { return ['id', 'There is a record with the number ' + id + ' already.']; }
  if (!/^\d{4}-\d{2}-\d{2}$/.test($('date').value)) { return ['date', 'Give the day it was killed.']; }
  if ($('date').value > today()) { return ['date', 'The day lies in the future.']; }
  if (!(lat >= -90 && lat <= 90)) { return ['lat', 'Give the latitude in degrees, such as -39.9101, or take the position.']; }
  if (!(lon >= -180 && lon <= 180)) { return ['lon', 'Give the longitude in degrees, such as 172.9502, or take the position.']; }
  if (lat === 0 && lon === 0) { return ['lat', 'Latitude and longitude are both 0, which no pig is at.']; }
  if ($('off').value.trim() !== '' && !(off > 0)) { return ['off', 'Give the distance the position may be off in metres, or leave it empty.']; }
  if (!$('lesion').value) { return ['lesion', 'Say whether a lesion was seen.']; }
  return null;
}
function keep(event) {
  event.preventDefault();
  const wrong = fault();
  show('wrong', !!wrong);
  if (wrong) {
    $('wrong').textContent = wrong[1];
    $(wrong[0]).focus();
    return;
  }
  const number = (field) => $(field).value.trim().replace(',', '.');
  const sample = $('sample').value;
  records.push({
    occurrenceID: $('id').value.trim(), eventDate: $('date').value,
    decimalLatitude: number('lat'), decimalLongitude: number('lon'), geodeticDatum: 'EPSG:4326',
    coordinateUncertaintyInMeters: number('off'), sex: $('sex').value, dentition: dentition(),
    nodePairsExamined: pairs(), grossLesion: $('lesion').value,
    labMethod: sample, labResult: sample ? 'pending' : ''
  });
  save();
  $('said').textContent = 'Kept ' + records[records.length - 1].occurrenceID + '.';
  fresh();
  list();
  $('kept-h').scrollIntoView();
}

function list() {
  const ul = $('list');
  ul.textContent = '';
  for (const r of records) {
    const li = document.createElement('li');
    const what = document.createElement('span');
    what.textContent = [r.occurrenceID, r.eventDate, r.dentition, 'lesion: ' + r.grossLesion].filter(Boolean).join(' · ');
    const drop = document.createElement('button');
    drop.type = 'button';
    drop.textContent = 'Delete';
    drop.setAttribute('aria-label', 'Delete ' + r.occurrenceID);
    drop.addEventListener('click', () => {
      if (!window.confirm('Delete ' + r.occurrenceID + ' from this device?')) { return; }
      records = records.filter((x) => x !== r);
      save();
      list();
      $('said').textContent = 'Deleted ' + r.occurrenceID + '.';
      $('kept-h').scrollIntoView();
    });
    li.append(what, drop);
    ul.append(li);
  }
  $('count').textContent = String(records.length);
  $('export').disabled = $('show').disabled = records.length === 0;
  if (!$('text').hidden) { $('text').value = csv(); }
}

function csv() {
  const cell = (v) => (/[",;\r\n]/.test(v) ? '"' + v.replace(/"/g, '""') + '"' : v);
  const rows = records.map((r) => COLUMNS.map((c) => cell(String(r[c] ?? ''))).join(','));
  return [COLUMNS.join(','), ...rows].join('\r\n') + '\r\n';
}
function exportCsv() {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(new Blob([csv()], { type: 'text/csv' }));
  link.download = 'pigs-' + prefix.replace(/[^A-Za-z0-9]+/g, '-') + '-' + today() + '.csv';
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
  $('said').textContent = 'Exported ' + records.length + ' record(s). They stay here until you delete them.';
}

load();
fresh();
list();
$('locate').addEventListener('click', locate);
$('form').addEventListener('submit', keep);
$('export').addEventListener('click', exportCsv);
$('show').addEventListener('click', () => {
  show('text', true);
  show('text-label', true);
  $('text').value = csv();
  $('text').focus();
  $('text').select();
});
$('sample').addEventListener('change', () => show('bag', $('sample').value !== ''));
document.querySelectorAll('input[name=jaw]').forEach((r) => r.addEventListener('change', () => show('wear-part', r.value === 'H' && r.checked)));
}());
