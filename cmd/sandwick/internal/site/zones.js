// The editor of zones. It reads the map from the text field of the form, draws
// it, and writes it back there: saving, checking and every word about faults
// are the server's. Distances are metres on a plane around the pivot point.
(() => {
  'use strict';
  const editor = document.getElementById('editor');
  const text = document.getElementById('map');
  const form = document.getElementById('zones');
  const facts = JSON.parse(editor.dataset.facts);
  let map;
  try {
    map = JSON.parse(text.value.trim() || '{"type":"FeatureCollection","features":[]}');
    if (!Array.isArray(map.features)) throw new Error('no features');
  } catch (e) {
    return; // what is wrong with the text the server says; it is mended as text
  }
  if (!facts.machines.length) return;

  // ---- small helpers
  const svgNS = 'http://www.w3.org/2000/svg';
  const make = (name, attrs, ...kids) => {
    const e = document.createElement(name);
    put(e, attrs);
    e.append(...kids);
    return e;
  };
  const draw = (name, attrs, words) => {
    const e = document.createElementNS(svgNS, name);
    put(e, attrs);
    if (words !== undefined) e.textContent = words;
    return e;
  };
  const put = (e, attrs) => {
    for (const [k, v] of Object.entries(attrs || {})) {
      if (k.startsWith('on')) e.addEventListener(k.slice(2), v);
      else if (v === true) e.setAttribute(k, '');
      else if (v !== false && v != null) e.setAttribute(k, v);
    }
  };
  const perM = facts.us ? 1 / 0.3048 : 1;
  const unit = facts.us ? 'ft' : 'm';

  // ---- what is edited
  let at = 0; // the machine shown
  let mode = 'pick';
  let chosen = null; // a feature
  let line = []; // points of what is being drawn
  let carried = null; // vertices that move together
  let cursor = [0, 0];
  let past = []; // texts to go back to
  let dirty = false;

  const machine = () => facts.machines[at];
  const toPlane = (q) => [(q[0] - machine().center[0]) * machine().m_per_deg_lon, (q[1] - machine().center[1]) * machine().m_per_deg_lat];
  const round = (v) => Math.round(v * 1e7) / 1e7;
  const toEarth = (p) => [round(machine().center[0] + p[0] / machine().m_per_deg_lon), round(machine().center[1] + p[1] / machine().m_per_deg_lat)];
  const fieldsHere = () => facts.fields.filter((f) => f.pivot === machine().name).map((f) => f.name);
  const isHere = (f) => fieldsHere().includes((f.properties || {}).field);
  const here = () => map.features.filter(isHere);
  // The rings of a feature as one list of polygons, whatever it is made of.
  const polygons = (f) => {
    const g = f.geometry || {};
    if (g.type === 'Polygon') return [g.coordinates];
    if (g.type === 'MultiPolygon') return g.coordinates;
    return [];
  };
  const flat = (f) => polygons(f).map((poly) => poly.map((ring) => ring.slice(0, -1).map(toPlane)));
  const ringToEarth = (ring, outer) => {
    const out = area(ring) > 0 === outer ? ring.slice() : ring.slice().reverse(); // RFC 7946 3.1.6: outlines run counter-clockwise
    const earth = out.map(toEarth);
    return [...earth, earth[0]];
  };
  const area = (ring) => {
    let sum = 0;
    ring.forEach((p, i) => {
      const q = ring[(i + 1) % ring.length];
      sum += p[0] * q[1] - q[0] * p[1];
    });
    return sum / 2;
  };
  const inRing = (p, ring) => {
    let inside = false;
    for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
      const [a, b] = [ring[i], ring[j]];
      if (a[1] > p[1] !== b[1] > p[1] && p[0] < ((b[0] - a[0]) * (p[1] - a[1])) / (b[1] - a[1]) + a[0]) inside = !inside;
    }
    return inside;
  };
  const inZone = (p, f) => flat(f).some((poly) => inRing(p, poly[0]) && !poly.slice(1).some((hole) => inRing(p, hole)));
  const dist = (p, q) => Math.hypot(p[0] - q[0], p[1] - q[1]);
  const cross = (a, b, c, d) => {
    const rx = b[0] - a[0], ry = b[1] - a[1], sx = d[0] - c[0], sy = d[1] - c[1];
    const k = rx * sy - ry * sx;
    if (Math.abs(k) < 1e-12) return null;
    const t = ((c[0] - a[0]) * sy - (c[1] - a[1]) * sx) / k;
    const u = ((c[0] - a[0]) * ry - (c[1] - a[1]) * rx) / k;
    return t >= 0 && t <= 1 && u >= 0 && u < 1 ? { t, u, p: [a[0] + t * rx, a[1] + t * ry] } : null;
  };
  // Where a line of points meets a ring, in the order of the line.
  const meets = (points, ring) => {
    const list = [];
    for (let i = 0; i + 1 < points.length; i++) {
      ring.forEach((c, j) => {
        const x = cross(points[i], points[i + 1], c, ring[(j + 1) % ring.length]);
        if (x && !list.some((y) => dist(x.p, y.p) < 1e-6)) list.push({ along: i + x.t, side: j + x.u, p: x.p });
      });
    }
    return list.sort((a, b) => a.along - b.along);
  };

  const keep = () => {
    past.push(JSON.stringify(map));
    if (past.length > 100) past.shift();
    dirty = true;
  };
  const back = () => {
    if (!past.length) return say('There is nothing to undo.');
    const name = chosen && chosen.properties.zone;
    map = JSON.parse(past.pop());
    chosen = map.features.find((f) => f.properties && f.properties.zone === name) || null;
    line = [];
    carried = null;
    show();
    say('Undone.');
  };
  const newName = (stem) => {
    const taken = new Set(map.features.map((f) => (f.properties || {}).zone));
    if (!taken.has(stem)) return stem;
    for (let n = 2; ; n++) if (!taken.has(`${stem} ${n}`)) return `${stem} ${n}`;
  };
  const depthKey = (p) => Object.keys(p).find((k) => /^water_table_(ft|m|cm)$/.test(k)) || (facts.us ? 'water_table_ft' : 'water_table_m');
  const properties = () => {
    const p = { zone: newName(machine().name + ' zone'), field: fieldsHere()[0] || '', soil: facts.soils[0] || '' };
    p[depthKey({})] = null;
    return p;
  };
  const add = (rings, props) => {
    const f = { type: 'Feature', properties: props, geometry: { type: 'Polygon', coordinates: rings } };
    map.features.push(f);
    chosen = f;
    return f;
  };

  // ---- deeds
  const wholeCircle = () => {
    keep();
    const r = machine().reach_m * 1.02, n = 120;
    const ring = Array.from({ length: n }, (_, i) => [r * Math.cos((2 * Math.PI * i) / n), r * Math.sin((2 * Math.PI * i) / n)]);
    add([ringToEarth(ring, true)], properties());
    choose('pick');
    show();
    say('The whole circle is one zone now. Cut it with Split.');
    focusName();
  };
  const finish = () => (mode === 'split' ? finishSplit() : finishDraw());
  const finishDraw = () => {
    if (line.length < 3) return say('A zone has at least three corners.');
    const ring = line;
    for (const f of here()) {
      for (const poly of flat(f)) {
        for (const other of poly) {
          const points = [...ring, ring[0]];
          const hits = meets(points, other).filter((x) => !ring.some((p) => dist(p, x.p) < 0.5) && !other.some((p) => dist(p, x.p) < 0.5));
          if (hits.length) return say(`It would cross the edge of ${f.properties.zone}. Corners catch on the corners of other zones; to take a part of a zone use Split.`);
        }
      }
    }
    keep();
    const inside = ring.reduce((s, p) => [s[0] + p[0] / ring.length, s[1] + p[1] / ring.length], [0, 0]);
    const around = here().find((f) => ring.every((p) => inZone(p, f)) && inZone(inside, f));
    const props = around ? { ...around.properties, zone: newName(around.properties.zone + ' inner') } : properties();
    if (around) { // an island: the ground around it gets a hole
      for (const poly of polygons(around)) if (inRing(ring[0], poly[0].slice(0, -1).map(toPlane))) poly.push(ringToEarth(ring, false));
    }
    add([ringToEarth(ring, true)], props);
    line = [];
    choose('pick');
    show();
    say(`Drawn: ${props.zone}. Give it a name, its soil and its water table.`);
    focusName();
  };
  const finishSplit = () => {
    if (!chosen) return say('Pick the zone to cut first.');
    if (line.length < 2) return say('A cut has at least two points: one before the zone and one behind it.');
    const polys = flat(chosen);
    if (polys.length !== 1) return say('Only ground in one piece can be cut here.');
    const [ring, ...holes] = polys[0];
    if (holes.some((hole) => meets(line, hole).length)) return say('The cut runs through an island in the zone: lead it round, or cut the island too.');
    const hits = meets(line, ring);
    if (hits.length !== 2) return say(`The cut meets the edge of ${chosen.properties.zone} ${hits.length} times: it has to come in once and go out once.`);
    const [a, b] = hits;
    const inner = line.filter((_, i) => i > a.along && i < b.along);
    // The ring from one place on it to another, corners in between.
    const walk = (from, to) => {
      const out = [];
      const n = ring.length;
      let end = to.side;
      if (end <= from.side) end += n;
      for (let i = Math.floor(from.side) + 1; i <= end; i++) {
        const p = ring[i % n];
        if (dist(p, from.p) > 1e-6 && dist(p, to.p) > 1e-6) out.push(p);
      }
      return out;
    };
    const one = [a.p, ...inner, b.p, ...walk(b, a)];
    const two = [b.p, ...inner.slice().reverse(), a.p, ...walk(a, b)];
    if (Math.abs(area(one)) < 1 || Math.abs(area(two)) < 1) return say('One side of the cut would have no ground.');
    keep();
    const old = chosen;
    const side = (outline) => [ringToEarth(outline, true), ...holes.filter((hole) => inRing(hole[0], outline)).map((hole) => ringToEarth(hole, false))];
    old.geometry = { type: 'Polygon', coordinates: side(one) };
    add(side(two), { ...old.properties, zone: newName(old.properties.zone) });
    line = [];
    choose('pick');
    show();
    say(`Cut in two: ${old.properties.zone} and ${chosen.properties.zone}.`);
    focusName();
  };
  const remove = () => {
    if (!chosen) return say('Pick the zone to remove first.');
    keep();
    const name = chosen.properties.zone;
    map.features = map.features.filter((f) => f !== chosen);
    chosen = null;
    show();
    say(`Removed: ${name}. Undo brings it back.`);
  };
  // vertices are all corners in one place, of whatever zone: they move together,
  // so that neighbours keep their common edge.
  const vertices = (p, reach) => {
    let best = reach, place = null;
    const all = [];
    for (const f of here()) {
      polygons(f).forEach((poly) => poly.forEach((ring) => ring.forEach((q, i) => {
        const d = dist(toPlane(q), p);
        all.push({ ring, i, p: toPlane(q) });
        if (d < best) { best = d; place = toPlane(q); }
      })));
    }
    return place && { place, all: all.filter((v) => dist(v.p, place) < 0.05) };
  };
  const moveTo = (p) => {
    const q = toEarth(p);
    for (const v of carried) v.ring[v.i] = q.slice();
  };
  const snapped = (p) => {
    if (mode === 'draw' && line.length > 2 && dist(p, line[0]) < px(14)) return line[0];
    const v = vertices(p, px(12));
    return v ? v.place : p;
  };
  const act = (p) => {
    switch (mode) {
      case 'pick': {
        chosen = here().find((f) => inZone(p, f)) || null;
        show();
        return say(chosen ? `Picked: ${chosen.properties.zone}.` : 'No zone here.');
      }
      case 'draw':
      case 'split': {
        const q = snapped(p);
        if (mode === 'draw' && line.length > 2 && dist(q, line[0]) < 1e-9) return finish();
        line.push(q);
        show();
        return say(`Point ${line.length}: ${placeWords(q)}.`);
      }
      case 'points': {
        if (carried) {
          carried = null;
          show();
          return say(`Put down: ${placeWords(p)}.`);
        }
        const v = vertices(p, px(16));
        if (!v) return say('No corner here.');
        keep();
        carried = v.all;
        show();
        return say('Corner taken: move it and put it down with Enter.');
      }
    }
  };
  const placeWords = (p) => {
    const azimuth = (Math.round((Math.atan2(p[0], p[1]) * 180) / Math.PI) + 360) % 360;
    return `azimuth ${azimuth}°, ${Math.round(Math.hypot(...p) * perM)} ${unit} out`;
  };

  // ---- the drawing
  const svg = draw('svg', { class: 'plane', tabindex: 0, role: 'application', 'aria-label': 'Map of the circle. Arrow keys move the cross, Enter acts, Escape gives up, Backspace takes the last point back.' });
  const words = make('p', { class: 'told', role: 'status' });
  const say = (t) => { words.textContent = t; };
  // The wetted ground may reach beyond the last nozzle.
  const rim = () => Math.max(machine().reach_m, ...machine().outline.map(toPlane).map((p) => Math.hypot(p[0], p[1])));
  const extent = () => rim() * (svg.clientWidth < 460 ? 1.34 : 1.2); // room for the azimuths
  const px = (n) => (n * 2 * extent()) / (svg.clientWidth || 500);
  const step = () => {
    let s = Math.pow(10, Math.floor(Math.log10((machine().reach_m * perM) / 2)));
    for (const k of [5, 2]) if (k * s <= (machine().reach_m * perM) / 2) { s *= k; break; }
    return s / perM;
  };
  const d = (rings) => rings.map((r) => 'M' + r.map((p) => `${p[0].toFixed(2)} ${(-p[1]).toFixed(2)}`).join('L') + 'Z').join('');
  const paint = () => {
    const r = rim(), e = extent(), s = step();
    svg.setAttribute('viewBox', `${-e} ${-e} ${2 * e} ${2 * e}`);
    const out = [];
    let grid = '';
    for (let x = 0; x < e; x += s) for (const v of x ? [x, -x] : [0]) grid += `M${v} ${-e}V${e}M${-e} ${v}H${e}`;
    out.push(draw('path', { class: 'z-grid', d: grid }));
    for (const f of here()) {
      out.push(draw('path', { class: f === chosen ? 'z-zone z-chosen' : 'z-zone', d: d(flat(f).flat()), 'fill-rule': 'evenodd' }));
    }
    out.push(draw('path', { class: 'z-outline', d: d([machine().outline.map(toPlane)]) }));
    out.push(draw('path', { class: 'z-hub', d: `M${-px(5)} 0H${px(5)}M0 ${-px(5)}V${px(5)}` }));
    const size = px(13), az = 1.05 * r + px(15); // zones are drawn a little beyond the rim
    for (let a = 0; a < 360; a += 30) {
      const t = (a * Math.PI) / 180;
      out.push(draw('text', { class: 'z-az', x: az * Math.sin(t), y: -az * Math.cos(t) + size / 3, 'font-size': size, 'stroke-width': px(3) }, a === 0 ? 'N' : String(a)));
    }
    out.push(draw('path', { class: 'z-ruler', d: `M${-e + px(8)} ${e - px(16)}v${px(8)}h${s}v${-px(8)}` }));
    out.push(draw('text', { class: 'z-scale', x: -e + px(8), y: e - px(22), 'font-size': size, 'stroke-width': px(3) }, `${Math.round(s * perM).toLocaleString('en-US')} ${unit} a square`));
    for (const f of here()) {
      const spot = middle(f);
      if (spot) out.push(draw('text', { class: 'z-name', x: spot[0], y: -spot[1], 'font-size': px(14), 'stroke-width': px(4) }, short(f.properties.zone)));
    }
    if (mode === 'points') {
      const seen = new Set();
      for (const f of here()) for (const ring of flat(f).flat()) for (const p of ring) {
        const key = p.map((v) => v.toFixed(1)).join();
        if (seen.has(key)) continue;
        seen.add(key);
        out.push(draw('circle', { class: 'z-corner', cx: p[0], cy: -p[1], r: px(f === chosen ? 5 : 3) }));
      }
    }
    if (line.length) {
      out.push(draw('path', { class: 'z-line', d: 'M' + line.map((p) => `${p[0]} ${-p[1]}`).join('L') }));
      for (const p of line) out.push(draw('circle', { class: 'z-corner z-new', cx: p[0], cy: -p[1], r: px(5) }));
    }
    out.push(draw('path', { class: 'z-cursor', d: `M${cursor[0] - px(14)} ${-cursor[1]}h${px(28)}M${cursor[0]} ${-cursor[1] - px(14)}v${px(28)}` }));
    svg.replaceChildren(...out);
  };
  const short = (name) => (name && name.startsWith(machine().name + ' ') ? name.slice(machine().name.length + 1) : name || '?');
  // middle is the place in a zone and in the circle that is furthest from edges.
  const middle = (f) => {
    const polys = flat(f), n = 24, r = machine().reach_m;
    let best = null, most = 0;
    for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) {
      const p = [((i + 0.5) / n) * 2 * r - r, ((j + 0.5) / n) * 2 * r - r];
      let room = r - Math.hypot(...p);
      if (room <= most || !inZone(p, f)) continue;
      for (const ring of polys.flat()) for (const q of ring) room = Math.min(room, Math.hypot((p[0] - q[0]) * 0.6, p[1] - q[1]));
      if (room > most) [best, most] = [p, room];
    }
    return best;
  };

  const pointer = (e) => {
    const q = new DOMPoint(e.clientX, e.clientY).matrixTransform(svg.getScreenCTM().inverse());
    return [q.x, -q.y];
  };
  const grip = (kind) => px(kind === 'touch' ? 26 : 16);
  let dragging = false;
  // A thumb on a corner drags it; anywhere else it moves the page.
  svg.addEventListener('touchstart', (e) => {
    if (mode === 'points' && e.touches.length === 1 && (dragging || vertices(pointer(e.touches[0]), grip('touch')))) e.preventDefault();
  }, { passive: false });
  svg.addEventListener('pointerdown', (e) => {
    if (mode !== 'points' || carried) return;
    const v = vertices(pointer(e), grip(e.pointerType));
    if (!v) return;
    keep();
    carried = v.all;
    dragging = true;
    svg.setPointerCapture(e.pointerId);
    e.preventDefault();
  });
  svg.addEventListener('pointermove', (e) => {
    if (!dragging) return;
    moveTo(pointer(e));
    paint();
  });
  const drop = (e) => {
    if (!dragging) return;
    dragging = false;
    carried = null;
    cursor = pointer(e);
    show();
  };
  svg.addEventListener('pointerup', drop);
  svg.addEventListener('pointercancel', drop); // where it is: Undo takes it back
  svg.addEventListener('click', (e) => {
    if (mode === 'points') return;
    cursor = pointer(e);
    act(cursor);
  });
  svg.addEventListener('dblclick', (e) => {
    if (!line.length) return;
    e.preventDefault();
    line.pop(); // the second click of the two
    finish();
  });
  svg.addEventListener('keydown', (e) => {
    if (e.ctrlKey || e.metaKey) {
      if (e.key === 'z') { e.preventDefault(); back(); }
      return;
    }
    const by = step() / (e.shiftKey ? 50 : 5);
    const way = { ArrowUp: [0, by], ArrowDown: [0, -by], ArrowLeft: [-by, 0], ArrowRight: [by, 0] }[e.key];
    if (way) {
      cursor = [cursor[0] + way[0], cursor[1] + way[1]].map((v) => Math.max(-extent(), Math.min(extent(), v)));
      if (carried) moveTo(cursor);
      paint();
      say(placeWords(cursor));
    } else if (e.key === 'Enter' || e.key === ' ') {
      const n = line.length;
      if (n && dist(cursor, line[n - 1]) < 1e-9) finish(); // twice in one place
      else act(cursor);
    } else if (e.key === 'Escape') {
      line = [];
      carried = null;
      show();
      say('Given up.');
    } else if (e.key === 'Backspace' && line.length) {
      line.pop();
      show();
    } else return;
    e.preventDefault();
  });

  // ---- what stands around it
  const tools = make('div', { class: 'tools', role: 'toolbar', 'aria-label': 'Tools' });
  const panel = make('div', { class: 'panel' });
  const hints = {
    pick: 'Pick a zone on the map or in the list.',
    draw: 'Mark the corners of the new zone; the first one again, or Finish, closes it.',
    split: 'Mark points of a line right across the picked zone, from outside to outside; then Finish.',
    points: 'Drag a corner. Corners that zones share move together.',
  };
  const choose = (m) => {
    mode = m;
    line = [];
    carried = null;
  };
  const number = (label, id) => make('label', { class: 'mini' }, label + ' ', make('input', { id, inputmode: 'decimal', size: 5, autocomplete: 'off' }));
  const showTools = () => {
    const button = (name, act, attrs) => make('button', { type: 'button', class: 'quiet', onclick: act, ...attrs }, name);
    const modes = [['pick', 'Pick'], ['draw', 'Draw'], ['split', 'Split'], ['points', 'Move corners']].map(([m, name]) =>
      button(name, () => { choose(m); show(); say(hints[m]); tools.querySelector(`[data-mode=${m}]`).focus(); }, { 'aria-pressed': String(mode === m), 'data-mode': m }));
    const rows = [make('div', { class: 'tool-row' }, ...modes, button('Undo', back), button('Remove', remove))];
    if (mode === 'draw' || mode === 'split') {
      const by = make('div', { class: 'tool-row' }, number('azimuth °', 'point-azimuth'), number(`out, ${unit}`, 'point-out'),
        button('Add point', () => {
          const [a, r] = ['point-azimuth', 'point-out'].map((id) => document.getElementById(id).value.trim());
          if (a === '' || r === '' || !isFinite(a) || !isFinite(r)) return say('Give the azimuth in degrees and the distance from the pivot point.');
          const t = (a * Math.PI) / 180, m = r / perM;
          cursor = [m * Math.sin(t), m * Math.cos(t)];
          line.push(cursor.slice());
          show();
          say(`Point ${line.length}: ${placeWords(cursor)}.`);
          document.getElementById('point-azimuth').focus();
        }), button('Finish', finish));
      rows.push(by);
    }
    tools.replaceChildren(...rows);
  };
  const focusName = () => { const i = document.getElementById('zone-name'); if (i) { i.focus(); i.select(); } };
  const input = (label, id, value, attrs, set) => make('div', { class: 'field' }, make('label', { for: id }, label),
    make('input', { id, value: value == null ? '' : value, autocomplete: 'off', onchange: (e) => { keep(); set(e.target.value.trim()); write(); paint(); list(); }, ...attrs }));
  const select = (label, id, value, options, set) => {
    const all = options.includes(value) || !value ? options : [value, ...options];
    return make('div', { class: 'field' }, make('label', { for: id }, label),
      make('select', { id, onchange: (e) => { keep(); set(e.target.value); write(); show(); } },
        ...all.map((o) => make('option', { value: o, selected: o === value }, o))));
  };
  const zoneList = make('ul', { class: 'zone-list' });
  const list = () => zoneList.replaceChildren(...here().map((f) => make('li', {}, make('button', {
    type: 'button', class: 'quiet', 'aria-pressed': String(f === chosen),
    onclick: (e) => { chosen = f; show(); zoneList.querySelector('[aria-pressed=true]').focus(); },
  }, f.properties.zone || '(no name)'), make('span', {}, [f.properties.soil, depthWords(f.properties)].filter(Boolean).join(', ')))));
  const depthWords = (p) => {
    const k = depthKey(p);
    return p[k] == null ? 'no water table in reach' : `water table ${p[k]} ${k.split('_').pop()}`;
  };
  const showPanel = () => {
    list();
    const parts = [make('h2', {}, 'Zones of ' + machine().name), zoneList];
    if (!here().length) {
      parts.push(make('p', { class: 'help' }, 'There are none yet.'), make('button', { type: 'button', class: 'quiet', onclick: wholeCircle }, 'Take the whole circle as one zone'));
    }
    if (chosen) {
      const p = chosen.properties, key = depthKey(p), u = key.split('_').pop();
      parts.push(make('h2', { class: 'together' }, 'The zone picked'),
        input('Name', 'zone-name', p.zone, {}, (v) => { p.zone = v; }),
        select('Field', 'zone-field', p.field, fieldsHere(), (v) => { p.field = v; }),
        select('Soil', 'zone-soil', p.soil, facts.soils, (v) => { p.soil = v; }),
        input(`Water table, ${u} below ground (empty: out of reach)`, 'zone-table', p[key], { inputmode: 'decimal' }, (v) => {
          p[key] = v === '' ? null : isFinite(v) ? Number(v) : v; // what is no number the server says
        }),
        input('Read on', 'zone-date', p.water_table_date, { type: 'date' }, (v) => { if (v) p.water_table_date = v; else delete p.water_table_date; }),
        input('Observation pipe it follows (empty: none)', 'zone-pipe', p.pipe, {}, (v) => { if (v) p.pipe = v; else delete p.pipe; }));
    }
    panel.replaceChildren(...parts);
  };
  // write puts the map into the text field: one feature after another, a ring to
  // a line, so that people can read it too.
  const write = () => {
    const feature = (f) => '    ' + JSON.stringify(f);
    const rest = Object.entries(map).filter(([k]) => k !== 'type' && k !== 'features').map(([k, v]) => `  ${JSON.stringify(k)}: ${JSON.stringify(v)},\n`);
    text.value = `{\n  "type": "FeatureCollection",\n${rest.join('')}  "features": [\n${map.features.map(feature).join(',\n')}\n  ]\n}\n`;
  };
  const show = () => {
    showTools();
    showPanel();
    paint();
    if (dirty) write();
  };

  const which = make('div', { class: 'field' });
  if (facts.machines.length > 1) {
    which.append(make('label', { for: 'machine' }, 'Pivot'), make('select', { id: 'machine', onchange: (e) => { at = Number(e.target.value); chosen = null; cursor = [0, 0]; choose('pick'); show(); } },
      ...facts.machines.map((m, i) => make('option', { value: i }, m.name))));
  }
  editor.append(which, tools, words, make('div', { class: 'drawing' }, svg, panel));
  editor.hidden = false;
  const holder = document.getElementById('as-text');
  const fold = make('details', {}, make('summary', {}, 'The map as text'));
  holder.before(fold);
  fold.append(holder);
  text.addEventListener('change', () => {
    try {
      const m = JSON.parse(text.value);
      if (!Array.isArray(m.features)) return say('The text is no collection of zones.');
      keep();
      map = m;
      chosen = null;
      show();
    } catch (e) {
      say('The text is not readable as JSON; it stays as it is, and saving tells where.');
    }
  });
  let sending = false;
  form.addEventListener('submit', (e) => { sending = !e.submitter || e.submitter.value === 'save'; });
  addEventListener('beforeunload', (e) => { if (dirty && !sending) e.preventDefault(); });
  new ResizeObserver(paint).observe(svg);
  show();
  say(hints.pick);
})();
