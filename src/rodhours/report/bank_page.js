// What is tapped at the bank, kept tap by tap, and shown as notes. The trips are what the taps say.
'use strict';
const given = JSON.parse(document.getElementById('given').textContent);
const word = given.words, HOUR = 3600e3, MINUTE = 60e3;
const place = 'rodhours bank ' + given.name;
const ui = { changing: null, opened: {}, copied: 0, said: '', trip: null };
let taps = [], keeps = true;

function load() {
  try {
    localStorage.setItem(place + ' try', '1');
    keeps = localStorage.getItem(place + ' try') === '1';
    taps = JSON.parse(localStorage.getItem(place) || '[]');
  } catch (error) { keeps = false; }
}
function keep() {
  try { localStorage.setItem(place, JSON.stringify(taps)); } catch (error) { keeps = false; }
}
function tap(what) {
  if (keeps) load();
  taps.push(what);
  keep();
  ui.changing = null;
  ui.said = heard(what);
  show();
}

// Times: an instant, and the offset that the phone's clock had then.
const offsetAt = at => -new Date(at).getTimezoneOffset();
function now() {
  const at = Math.floor(Date.now() / MINUTE) * MINUTE;
  return { at, off: offsetAt(at) };
}
const local = time => new Date(time.at + time.off * MINUTE).toISOString().slice(0, 16);
const clock = time => local(time).slice(11);
const two = number => String(Math.floor(number)).padStart(2, '0');
function written(time, day) {
  const minutes = Math.abs(time.off);
  const changes = offsetAt(time.at - 3 * HOUR) !== offsetAt(time.at + 3 * HOUR);
  const zone = (time.off < 0 ? '-' : '+') + two(minutes / 60) + ':' + two(minutes % 60);
  const date = local(time).slice(0, 10);
  return (date === day ? '' : date + ' ') + clock(time) + (changes ? zone : '');
}
function corrected(text, old) {
  const first = new Date(text).getTime();
  // In the hour that comes twice, the one that is nearer to what the clock said.
  const found = [first - HOUR, first, first + HOUR].map(at => ({ at, off: offsetAt(at) }))
    .filter(time => local(time) === text)
    .sort((a, b) => Math.abs(a.at - old.at) - Math.abs(b.at - old.at));
  return found[0] || null;
}

// The taps, one after the other, to trips with their stints.
function begin(one) {
  const planned = given.trips[one.plan] ? given.trips[one.plan].parts : null;
  return { ...one, planned, part: 1, stints: [], unfished: {}, water: one.water || '',
    swim: one.swim || '', note: '' };
}
function trips() {
  const all = [];
  for (const one of taps) {
    if (one.do === 'trip') { all.push(begin(one)); continue; }
    const trip = all[one.trip], stint = trip.stints[one.stint];
    if (one.do === 'in') trip.stints.push({ rod: one.rod, bait: trip.baits[one.rod],
      planned: plannedOf(trip, one.rod), part: trip.part, in: one.time, out: null, fish: [],
      blank: false });
    else if (one.do === 'out') stint.out = one.time;
    else if (one.do === 'fish' || one.do === 'lost')
      { stint.fish.push({ lost: one.do === 'lost', time: one.time, species: '', weight: '' });
        stint.blank = false; }
    else if (one.do === 'blank') stint.blank = true;
    else if (one.do === 'unfished') trip.unfished[trip.part + ' ' + one.rod] = true;
    else if (one.do === 'bait') {
      const open = trip.stints[openOf(trip, one.rod)];
      if (open) open.out = one.time;
      trip.baits = trip.baits.map((bait, rod) => rod === one.rod ? one.bait : bait);
    } else if (one.do === 'part') {
      trip.part += 1;
      trip.baits = trip.planned[trip.part - 1].slice();
    } else if (one.do === 'time') {
      if (one.fish === null) stint[one.which] = one.time;
      else stint.fish[one.fish].time = one.time;
    } else if (one.do === 'say') {
      if (one.fish === undefined) trip[one.what] = one.text;
      else stint.fish[one.fish][one.what] = one.text;
    }
  }
  return all;
}
const plannedOf = (trip, rod) => trip.planned ? trip.planned[trip.part - 1][rod] : null;
const openOf = (trip, rod) => trip.stints.findIndex(one => one.rod === rod && !one.out);
const lastOf = (trip, rod) => trip.stints.map(one => one.rod).lastIndexOf(rod);
const unsaid = stint => stint.out && !stint.blank && !stint.fish.some(one => !one.lost);

// The notes, as the import reads them.
const quoted = text => /^[A-Za-z0-9][A-Za-z0-9._+-]*$/.test(text) ? text
  : '"' + text.replace(/"/g, '""') + '"';
function ofFish(fish, day) {
  const kind = fish.species ? '"' + fish.species.replace(/"/g, '""') + '" ' : '';
  const weight = fish.weight ? fish.weight.replace(/[,"]/g, '.') + ' ' : '';
  return (fish.lost ? word.lost : word.fish) + ' ' + kind + weight + 'at ' + written(fish.time, day);
}
function ofStint(trip, stint, day) {
  const plan = !stint.planned ? []
    : [stint.planned === stint.bait ? word.planned : word.planned + ' ' + quoted(stint.planned)];
  return [stint.rod + 1 + ' ' + quoted(stint.bait), ...plan, ...partOf(trip, stint.part),
    word.in + ' ' + written(stint.in, day), ...(stint.out ? [word.out + ' '
      + written(stint.out, day)] : []), ...stint.fish.map(fish => ofFish(fish, day)),
    ...(stint.blank ? [word.blank] : [])].join(', ');
}
const partOf = (trip, part) => trip.planned && trip.planned.length > 1 ? [word.part + ' ' + part] : [];
function notYet(trip) {
  const lines = [];
  (trip.planned || [trip.baits]).forEach((baits, at) => baits.forEach((bait, rod) => {
    if (trip.stints.some(one => one.rod === rod && (!trip.planned || one.part === at + 1))) return;
    const end = trip.unfished[at + 1 + ' ' + rod] ? word.unfished
      : [word.in, word.out, word.fish].join(' , ') + ' ';
    if (trip.planned || trip.unfished['1 ' + rod]) lines.push([rod + 1 + ' ' + quoted(bait),
      ...(trip.planned ? [word.planned] : []), ...partOf(trip, at + 1), end].join(', '));
  }));
  return lines;
}
function ofTrip(trip) {
  const day = local(trip.time).slice(0, 10);
  const own = ['water', 'swim', 'note'].filter(name => trip[name])
    .map(name => word[name] + ' ' + quoted(trip[name]));
  const head = word.trip + ' ' + quoted(trip.label), key = trip.planned && given.key;
  return [[head, day, written(trip.time, day), ...(key ? [key] : []), ...own].join(', '),
    ...trip.stints.map(stint => ofStint(trip, stint, day)), ...notYet(trip)].join('\n');
}
const notes = all => all.map(ofTrip).join('\n\n') + (all.length ? '\n' : '');

// The page: made of elements and texts, so that no name is ever read as HTML.
function make(tag, about, ...inside) {
  const one = document.createElement(tag);
  for (const [name, value] of Object.entries(about || {})) {
    if (name.startsWith('on')) one.addEventListener(name.slice(2), value);
    else if (value === true) one.setAttribute(name, '');
    else if (value !== false && value !== null) one.setAttribute(name, value);
  }
  one.append(...inside.filter(Boolean));
  return one;
}
function button(id, text, rod, act, more) {
  const label = rod === null ? null : text + ', rod ' + (rod + 1);
  return make('button', { id, type: 'button', 'aria-label': label, onclick: act, ...more }, text);
}
function field(id, label, value, change, more) {
  const input = make('input', { id, type: 'text', autocomplete: 'off', ...more,
    onchange: event => change(event.target.value.trim()) });
  input.value = value;
  return make('label', { for: id }, label, input);
}
function timeField(id, label, time, at) {
  return field(id, label, local(time), text => {
    const told = corrected(text, time);
    if (told && inOrder(at, told)) tap({ do: 'time', ...at, time: told });
    else { ui.said = given.says.order; show(); }
  }, { type: 'datetime-local' });
}
function inOrder(at, time) {
  const stint = trips()[at.trip].stints[at.stint];
  const began = at.which === 'in' ? time : stint.in, ended = at.which === 'out' ? time : stint.out;
  return (!ended || began.at < ended.at) && stint.fish.every((one, number) => {
    const caught = at.fish === number ? time : one.time;
    return caught.at >= began.at && (!ended || caught.at <= ended.at);
  });
}
function heard(one) {
  const rod = one.rod === undefined ? '' : 'Rod ' + (one.rod + 1) + ': ';
  const time = one.time ? ' ' + clock(one.time) : '';
  const text = one.do === 'bait' ? ' ' + one.bait : one.do === 'trip' ? ' ' + one.label : '';
  return rod + given.says.taps[one.do] + text + time;
}

function stintView(number, trip, at, stint) {
  const id = 'stint' + at + ' ', here = { trip: number, stint: at };
  const say = (fish, what) => text => tap({ do: 'say', ...here, fish, what, text });
  return make('div', { class: 'stint', role: 'group', 'aria-label': stint.bait + ' from '
    + clock(stint.in) }, make('strong', {}, stint.bait),
  timeField(id + 'in', 'In', stint.in, { ...here, which: 'in', fish: null }),
  stint.out && timeField(id + 'out', 'Out', stint.out, { ...here, which: 'out', fish: null }),
  ...stint.fish.map((fish, n) => make('div', { class: 'fish', role: 'group', 'aria-label':
    (fish.lost ? 'Lost fish ' : 'Fish ') + (n + 1) },
  timeField(id + n, fish.lost ? 'Lost at' : 'Fish at', fish.time, { ...here, which: 'fish', fish: n }),
  field(id + n + 'species', 'Species', fish.species, say(n, 'species')),
  field(id + n + 'weight', 'Weight, such as 22lb 4oz', fish.weight, say(n, 'weight')))));
}
function rodView(number, trip, rod) {
  const open = openOf(trip, rod), last = lastOf(trip, rod), stint = trip.stints[last];
  const act = (what, more) => () => tap({ do: what, trip: number, rod, time: now(), ...more });
  const fished = trip.stints.some(one => one.rod === rod && one.part === trip.part);
  const id = name => 'rod' + rod + name, here = { stint: open >= 0 ? open : last };
  const caught = stint ? stint.fish.filter(one => !one.lost).length : 0;
  const state = open >= 0 ? 'in since ' + clock(stint.in) + ', fish: ' + caught
    : trip.unfished[trip.part + ' ' + rod] ? 'not fished' : !stint ? 'not in yet'
    : 'out at ' + clock(stint.out) + (unsaid(stint) ? '. Blank, or fish?' : ', fish: ' + caught);
  const shown = Boolean(ui.opened[rod]);
  const more = make('details', { open: shown, ontoggle: event => {
    if (event.target.open !== shown) { ui.opened[rod] = event.target.open; show(); } } },
  make('summary', { id: id('more') }, 'Times and fish of rod ' + (rod + 1)),
  ...trip.stints.map((one, at) => shown && one.rod === rod && stintView(number, trip, at, one)));
  return make('section', { 'aria-labelledby': id('head') },
    make('h2', { id: id('head') }, 'Rod ' + (rod + 1) + ': ' + (trip.baits[rod] || 'which bait?')),
    make('p', { class: stint && unsaid(stint) ? 'ask' : 'state' }, state),
    make('div', { class: 'row' },
      open < 0 && trip.baits[rod] && button(id('in'), 'Cast in', rod, act('in'), { class: 'main' }),
      open >= 0 && button(id('fish'), 'Fish', rod, act('fish', here), { class: 'main' }),
      open >= 0 && button(id('lost'), 'Lost', rod, act('lost', here)),
      open >= 0 && button(id('out'), 'Cast out', rod, act('out', here)),
      stint && unsaid(stint) && button(id('blank'), 'Blank', rod, act('blank', here),
        { class: 'main' }),
      stint && unsaid(stint) && button(id('late'), 'Had a fish', rod,
        act('fish', { ...here, time: stint.out })),
      button(id('bait'), 'Change bait', rod, () => { ui.changing = rod; show(); },
        { 'aria-expanded': String(ui.changing === rod) }),
      !fished && !trip.unfished[trip.part + ' ' + rod] && button(id('unfished'), 'Not fished', rod, act('unfished'))),
    (ui.changing === rod || !trip.baits[rod]) && baitView(id, trip, rod, bait => tap({ do: 'bait', trip: number, rod, bait,
      time: now() })), stint && more);
}
function baitView(id, trip, rod, put) {
  const known = [...new Set([...given.baits, ...trip.baits])].filter(one => one && one !== trip.baits[rod]);
  return make('div', { class: 'row', role: 'group', 'aria-label': 'Bait for rod ' + (rod + 1) },
    ...known.map((bait, at) => button(id('put' + at), bait, null, () => put(bait))),
    field(id('other'), 'Another bait', '', text => text && put(text)));
}
function startView(all) {
  const open = given.trips.map((trip, at) => ({ ...trip, at }))
    .filter(one => !all.some(trip => trip.plan === one.at));
  const select = make('select', { id: 'which' }, ...open.map(one =>
    make('option', { value: one.at }, one.label)), make('option', { value: 'free' }, 'a free trip'));
  const rods = make('input', { id: 'rods', type: 'number', min: 1, max: 6, value: given.rods });
  const before = all[all.length - 1] || {};
  const start = () => {
    const at = select.value === 'free' ? null : Number(select.value), time = now();
    const baits = at !== null ? given.trips[at].parts[0].slice()
      : Array.from({ length: Math.min(Math.max(Number(rods.value) || 1, 1), 6) },
        (_, rod) => given.baits.length ? given.baits[rod % given.baits.length] : '');
    const free = 'T' + local(time).replace(/[-:]/g, '').replace('T', '-');
    const label = at !== null ? given.trips[at].label
      : all.some(one => one.label === free) ? free + '-' + (all.length + 1) : free;
    ui.trip = null;
    tap({ do: 'trip', plan: at, label, baits, time, water: before.water, swim: before.swim });
  };
  return make('section', { 'aria-labelledby': 'starthead' },
    make('h2', { id: 'starthead' }, all.length ? 'Another trip' : 'Start'),
    make('label', { for: 'which' }, 'Trip', select),
    !given.trips.length && make('label', { for: 'rods' }, 'Rods', rods),
    button('start', 'Start the trip', null, start, { class: all.length ? null : 'main' }));
}
function whichView(all, shown) {
  const select = make('select', { id: 'shown', onchange: event => {
    ui.trip = Number(event.target.value); show(); } }, ...all.map((trip, at) =>
    make('option', { value: at, selected: at === shown }, trip.label)));
  return make('label', { for: 'shown' }, 'Trip shown', select);
}
function tripView(number, trip) {
  const say = what => text => tap({ do: 'say', trip: number, what, text });
  const swaps = trip.planned && trip.part < trip.planned.length;
  const wet = trip.stints.some(one => !one.out);
  return [make('h1', {}, trip.label + (trip.planned && trip.planned.length > 1
    ? ', part ' + trip.part : '')),
  ...trip.baits.map((_, rod) => rodView(number, trip, rod)),
  swaps && button('part', wet ? 'Swap baits: cast out all rods first' : 'Swap baits: part '
    + (trip.part + 1), null, () => tap({ do: 'part', trip: number }), { disabled: wet }),
  make('section', { 'aria-label': 'The trip' }, field('water', 'Water', trip.water, say('water')),
    field('swim', 'Swim', trip.swim, say('swim')), field('note', 'Notes', trip.note, say('note')))];
}

function copy(text) {
  const done = () => { ui.copied = taps.length; ui.said = 'Copied.'; show(); };
  const area = document.getElementById('text');
  const byHand = () => { area.select(); if (document.execCommand('copy')) done(); };
  if (navigator.clipboard) navigator.clipboard.writeText(text).then(done, byHand);
  else byHand();
}
function save(text) {
  const url = URL.createObjectURL(new Blob([text], { type: 'text/plain' }));
  make('a', { href: url, download: 'notes-' + given.name + '.txt' }).click();
  setTimeout(() => URL.revokeObjectURL(url), 60e3);
  ui.copied = taps.length;
  show();
}
function textView(text) {
  const area = make('textarea', { id: 'text', readonly: true, rows: 8, 'aria-labelledby': 'texthead' });
  area.value = text;
  return make('section', { 'aria-labelledby': 'texthead' }, make('h2', { id: 'texthead' },
    'The notes'), make('p', {}, given.says.notes), area, make('div', { class: 'row' },
    button('copy', 'Copy', null, () => copy(text)),
    Boolean(navigator.share) && button('share', 'Share', null, () => navigator.share({ text })
      .then(() => { ui.copied = taps.length; show(); }, () => {})),
    button('save', 'Save', null, () => save(text))));
}
function show() {
  const had = document.activeElement ? document.activeElement.id : '';
  const all = trips(), last = Math.min(ui.trip ?? all.length - 1, all.length - 1), text = notes(all), back = taps[taps.length - 1];
  const fresh = taps.length - ui.copied;
  document.getElementById('app').replaceChildren(...[
    !keeps && make('div', { class: 'warn', role: 'alert' }, given.says.lost,
      fresh > 0 && button('copynow', 'Copy the notes now: ' + fresh + ' taps are not copied', null,
        () => copy(text))),
    all.length > 1 && whichView(all, last),
    ...(last >= 0 ? tripView(last, all[last]) : [make('h1', {}, given.title)]),
    back && button('undo', 'Undo: ' + heard(back), null, () => {
      ui.said = 'Taken back: ' + heard(taps.pop());
      keep();
      show();
    }), text && textView(text), startView(all)].filter(Boolean));
  document.getElementById('said').textContent = ui.said;
  const again = had && document.getElementById(had);
  if (again) again.focus({ preventScroll: true });
}
window.addEventListener('storage', () => { load(); show(); });
window.addEventListener('beforeunload', event => {
  if (!keeps && taps.length > ui.copied) event.preventDefault();
});
load();
show();
