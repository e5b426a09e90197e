// The picture, or three of them, moved and zoomed in step; ways to look; outlines; the part under the pointer.
(function (review) {
  'use strict';
  const { el, get } = review;
  const LOOKS = ['before', 'after', 'difference'];
  const EDGE = 20;
  const [LEAST, MOST] = [0.05, 32];
  const NEEDS = {
    side: ['before', 'after'], before: ['before'], after: ['after'], difference: ['difference'],
    wipe: ['before', 'after'], dissolve: ['before', 'after'], blink: ['before', 'after'],
  };
  const panes = [];
  let entry = null;
  let maps = { before: null, after: null };
  let way = 'after';
  let wanted = 'side';
  // The point of the picture that is in the middle of every pane, and pixels of screen to one of the picture.
  const view = { x: 0, y: 0, scale: 1, fitted: true };
  const slide = { wipe: 0.5, dissolve: 0.5 };
  const blink = { after: true, runs: false, timer: 0, period: 1000 };
  let probe = null;
  let marked = null;
  let region = -1;
  let takeBack = () => {};

  function pane(looks) {
    const images = new Map(looks.map((look) => [look, el('img', { alt: '', draggable: 'false', class: look })]));
    const mark = el('canvas', { class: 'part-mark' });
    const boxes = el('div', { class: 'boxes' });
    const sheet = el('div', { class: 'sheet' }, ...images.values(), mark, boxes);
    const name = el('span', { class: 'pane-name' });
    const other = el('span', { class: 'pane-name other' });
    const box = el('div', { class: 'pane' }, sheet, name, other);
    return { box, sheet, images, mark, boxes, name, other };
  }

  const line = el('div', { class: 'wipe-line', hidden: true }, el('span', { class: 'grip', 'aria-hidden': 'true' }));
  const cross = el('div', { class: 'cross', 'aria-hidden': 'true' });

  const room = () => ({ width: panes[0].box.clientWidth || 1, height: panes[0].box.clientHeight || 1 });
  const has = (w) => entry !== null && NEEDS[w].every((look) => entry.looks.has(look));

  /** The scale at which a picture fits a pane of this room, with an edge around it. */
  function within([width, height], w, h) {
    const edge = 2 * Math.min(EDGE, Math.min(w, h) / 20);
    return Math.min((w - edge) / width, (h - edge) / height);
  }

  function fitting(size) {
    const { width, height } = room();
    return Math.min(MOST, Math.max(LEAST, within(size, width, height)));
  }

  /** Panes beside each other, below each other, or two and one, as the pictures get largest. */
  function flow() {
    const stage = get('stage');
    const count = panes.filter((p) => !p.box.hidden).length;
    const ways = count === 3 ? [3, 2, 1] : count === 2 ? [3, 1] : [3];
    const scale = (columns) => {
      const across = Math.min(columns, count);
      const down = Math.ceil(count / across);
      return within(entry?.size ?? [1, 1], (stage.clientWidth - 6 * (across - 1)) / across, (stage.clientHeight - 6 * (down - 1)) / down);
    };
    // In one row unless another way shows clearly more.
    const best = ways.reduce((a, b) => (scale(b) > scale(a) * 1.2 ? b : a));
    stage.dataset.flow = String(best);
  }

  function place() {
    if (!entry) return;
    const [width, height] = entry.size;
    if (view.fitted) Object.assign(view, { x: width / 2, y: height / 2, scale: fitting(entry.size) });
    view.x = Math.min(width, Math.max(0, view.x));
    view.y = Math.min(height, Math.max(0, view.y));
    const { width: w, height: h } = room();
    const [left, top] = [w / 2 - view.x * view.scale, h / 2 - view.y * view.scale];
    for (const p of panes) {
      p.sheet.style.transform = `translate(${left}px, ${top}px) scale(${view.scale})`;
      p.sheet.style.setProperty('--scale', view.scale);
      p.sheet.classList.toggle('large', view.scale >= 3);
    }
    const cut = (slide.wipe * w - left) / view.scale;
    const { images } = panes[0];
    images.get('before').style.clipPath = way === 'wipe' ? `inset(0 calc(100% - ${cut}px) 0 0)` : '';
    images.get('after').style.clipPath = way === 'wipe' ? `inset(0 0 0 ${cut}px)` : '';
    line.style.left = `${slide.wipe * 100}%`;
    get('zoom').textContent = `${Math.round(view.scale * 100)} %`;
    tellProbe();
  }

  /** Which pictures of the first pane are to be seen, each with how much of it. */
  function visible() {
    switch (way) {
      case 'side': return { before: 1 };
      case 'wipe': return { before: 1, after: 1 };
      case 'dissolve': return { before: 1 - slide.dissolve, after: slide.dissolve };
      case 'blink': return blink.after ? { after: 1 } : { before: 1 };
      default: return { [way]: 1 };
    }
  }

  function paint() {
    const seen = visible();
    for (const [look, image] of panes[0].images) image.style.opacity = seen[look] ?? 0;
    get('stage').dataset.shown = way;
    get('stage').dataset.seen = Object.keys(seen).filter((l) => seen[l] > 0).join(' ');
    panes[1].box.hidden = way !== 'side';
    panes[2].box.hidden = way !== 'side' || !entry?.looks.has('difference');
    panes[1].name.textContent = 'after';
    panes[2].name.textContent = 'difference';
    flow();
    line.hidden = way !== 'wipe';
    const names = { side: 'before', wipe: 'before', dissolve: 'before and after', blink: blink.after ? 'after' : 'before' };
    panes[0].name.textContent = entry?.looks.size ? names[way] ?? way : '';
    panes[0].other.textContent = way === 'wipe' ? 'after' : '';
    place();
  }

  function tools() {
    for (const button of document.querySelectorAll('[data-way]')) {
      const w = button.dataset.way;
      button.setAttribute('aria-pressed', String(w === way && has(w)));
      button.disabled = !has(w);
    }
    const sliding = way === 'wipe' || way === 'dissolve';
    get('slide-box').hidden = !sliding;
    if (sliding) {
      get('slide-label').textContent = way === 'wipe' ? 'Wipe' : 'Dissolve';
      get('slide').value = Math.round(slide[way] * 100);
      get('slide').setAttribute('aria-valuetext', way === 'wipe'
        ? `${get('slide').value} % before` : `${100 - get('slide').value} % before, ${get('slide').value} % after`);
    }
    get('blink-box').hidden = way !== 'blink';
    const still = review.stillness.asked;
    get('blink-run').disabled = still;
    get('blink-run').textContent = still ? 'Still: reduced motion is asked for' : blink.runs ? 'Pause' : 'Run';
    get('blink-rate').disabled = still;
  }

  function flip() {
    blink.after = !blink.after;
    paint();
  }

  function tick() {
    clearTimeout(blink.timer);
    if (!blink.runs || way !== 'blink' || document.hidden || get('pose').hidden || review.stillness.asked) return;
    blink.timer = setTimeout(() => {
      if (blink.runs && way === 'blink' && !review.stillness.asked && review.pace.ready()) flip();
      tick();
    }, Math.max(blink.period, review.pace.wait()));
  }

  function run(on) {
    blink.runs = on && !review.stillness.asked;
    tools();
    tick();
  }

  function settle() {
    way = has(wanted) ? wanted : ['after', 'before'].find(has) ?? 'after';
    blink.after = true;
    paint();
    tools();
    run(way === 'blink');
  }

  /** Asks for a way to look; the picture changes when it may. */
  function choose(next) {
    if (!has(next)) return;
    wanted = next;
    takeBack();
    takeBack = review.pace.soon(() => {
      settle();
      review.say(get('stage').dataset.seen ? `Shown: ${next}` : '');
    });
  }

  function zoomAt(factor, x, y) {
    const { width, height } = room();
    const [dx, dy] = [x - width / 2, y - height / 2];
    const scale = Math.min(MOST, Math.max(Math.min(LEAST, view.scale), view.scale * factor));
    // What is under the pointer stays there.
    view.x += dx / view.scale - dx / scale;
    view.y += dy / view.scale - dy / scale;
    view.scale = scale;
    view.fitted = false;
    place();
  }

  const zoom = (factor) => zoomAt(factor, room().width / 2, room().height / 2);

  function pan(dx, dy) {
    view.x -= dx / view.scale;
    view.y -= dy / view.scale;
    view.fitted = false;
    place();
  }

  function show([left, top, right, bottom]) {
    const { width, height } = room();
    const [w, h] = [Math.max(1, right - left), Math.max(1, bottom - top)];
    // With some of what is around it, and no larger than pixels can be told from each other.
    view.scale = Math.min(8, Math.max(LEAST, Math.min(width / (w * 1.8), height / (h * 1.8))));
    view.x = (left + right) / 2;
    view.y = (top + bottom) / 2;
    view.fitted = false;
    place();
  }

  // The part under the pointer, or under the cross in the middle for those who have none.

  function lookOf(paneAt, x) {
    if (paneAt === 1) return 'after';
    if (paneAt === 2) return 'difference';
    if (way === 'wipe') return x < slide.wipe * room().width ? 'before' : 'after';
    if (way === 'side') return 'before';
    if (way === 'blink') return blink.after ? 'after' : 'before';
    return way;
  }

  const named = (part) => (part === null ? 'nothing' : review.plain(part));

  function tellProbe() {
    const at = probe ?? { pane: 0, x: room().width / 2, y: room().height / 2 };
    const { width, height } = room();
    const x = view.x + (at.x - width / 2) / view.scale;
    const y = view.y + (at.y - height / 2) / view.scale;
    get('probe-at').textContent = `${Math.floor(x)}, ${Math.floor(y)}`;
    if (!maps.before && !maps.after) {
      get('probe-part').textContent = entry?.owners ? '' : 'no part names for this pose';
      return '';
    }
    const before = maps.before?.at(x, y) ?? null;
    const after = maps.after?.at(x, y) ?? null;
    const look = lookOf(at.pane, at.x);
    let text;
    if (!maps.before) text = named(after);
    else if (!maps.after) text = named(before);
    else if (look === 'before') text = before === after ? named(before) : `${named(before)}, now ${named(after)}`;
    else text = before === after ? named(after) : `${named(after)}, before ${named(before)}`;
    get('probe-part').replaceChildren(el('bdi', {}, text));
    return text;
  }

  let sayTimer = 0;
  function sayProbe() {
    clearTimeout(sayTimer);
    sayTimer = setTimeout(() => review.say(tellProbe()), 300);
  }

  // Parts and regions drawn over the picture.

  function paintPart() {
    const map = marked === null ? null
      : [maps.after, maps.before].find((m) => m?.parts.includes(marked) && m.owners.includes(m.parts.indexOf(marked) + 1));
    for (const p of panes) {
      p.mark.hidden = !map;
      if (map) review.owners.paint(p.mark, map, marked, [0x0a, 0x84, 0xc2, 0x99]);
    }
    get('stage').dataset.marked = map ? marked : '';
  }

  function outline() {
    const show = get('outline').checked;
    for (const p of panes) {
      p.boxes.replaceChildren();
      if (!show) continue;
      for (const [index, [l, t, r, b]] of entry.regions.entries()) {
        const box = el('i', { class: index === region ? 'box chosen' : 'box' });
        Object.assign(box.style, { left: `${l}px`, top: `${t}px`, width: `${r - l}px`, height: `${b - t}px` });
        p.boxes.append(box);
      }
    }
  }

  // Pointers: one moves, two zoom; the line of the wipe is moved by its grip.

  const pointers = new Map();
  let wiping = false;

  function local(event) {
    const index = panes.findIndex((p) => !p.box.hidden && p.box.contains(event.target));
    const held = pointers.get(event.pointerId)?.pane;
    const at = held ?? Math.max(0, index);
    const box = panes[at].box.getBoundingClientRect();
    return { pane: at, x: event.clientX - box.left, y: event.clientY - box.top };
  }

  function spread() {
    const [a, b] = [...pointers.values()];
    return { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2, apart: Math.max(1, Math.hypot(a.x - b.x, a.y - b.y)) };
  }

  function down(event) {
    if (event.button > 0) return;
    const stage = get('stage');
    stage.setPointerCapture(event.pointerId);
    wiping = way === 'wipe' && line.contains(event.target);
    const at = local(event);
    pointers.set(event.pointerId, at);
    probe = at;
    tellProbe();
  }

  function move(event) {
    const at = local(event);
    probe = at;
    const old = pointers.get(event.pointerId);
    if (!old) {
      tellProbe();
      return;
    }
    if (wiping) {
      slideTo(at.x / room().width);
    } else if (pointers.size === 2) {
      const was = spread();
      pointers.set(event.pointerId, at);
      const now = spread();
      pan(now.x - was.x, now.y - was.y);
      zoomAt(now.apart / was.apart, now.x, now.y);
    } else {
      pan(at.x - old.x, at.y - old.y);
    }
    pointers.set(event.pointerId, at);
  }

  function up(event) {
    pointers.delete(event.pointerId);
    wiping = false;
  }

  function slideTo(f) {
    slide[way] = Math.min(1, Math.max(0, f));
    paint();
    tools();
  }

  review.stage = {
    build() {
      panes.push(pane(LOOKS), pane(['after']), pane(['difference']));
      const stage = get('stage');
      stage.append(...panes.map((p) => p.box));
      panes[0].box.append(line, cross);
      stage.addEventListener('pointerdown', down);
      stage.addEventListener('pointermove', move);
      stage.addEventListener('pointerup', up);
      stage.addEventListener('pointercancel', up);
      stage.addEventListener('pointerleave', () => {
        if (pointers.size === 0) {
          probe = null;
          tellProbe();
        }
      });
      stage.addEventListener('dblclick', (event) => {
        if (!view.fitted) this.fit();
        else {
          const { x, y } = local(event);
          zoomAt(3, x, y);
        }
      });
      stage.addEventListener('wheel', (event) => {
        event.preventDefault();
        const { x, y } = local(event);
        zoomAt(Math.exp(-Math.max(-200, Math.min(200, event.deltaY)) * (event.ctrlKey ? 0.01 : 0.002)), x, y);
      }, { passive: false });
      for (const button of document.querySelectorAll('[data-way]')) {
        button.addEventListener('click', () => choose(button.dataset.way));
      }
      get('slide').addEventListener('input', () => slideTo(get('slide').value / 100));
      get('blink-run').addEventListener('click', () => this.toggleBlink());
      get('flip').addEventListener('click', () => this.flip());
      get('blink-rate').addEventListener('change', () => {
        blink.period = Math.max(review.pace.SHORTEST, Number(get('blink-rate').value));
        tick();
      });
      get('zoom-in').addEventListener('click', () => zoom(1.25));
      get('zoom-out').addEventListener('click', () => zoom(1 / 1.25));
      get('fit').addEventListener('click', () => this.fit());
      get('whole').addEventListener('click', () => this.whole());
      get('outline').addEventListener('change', () => outline());
      get('ground').addEventListener('change', () => this.ground(get('ground').value));
      this.ground(review.store.read('ground') ?? 'auto');
      new ResizeObserver(() => requestAnimationFrame(() => {
        flow();
        place();
      })).observe(stage);
      document.addEventListener('visibilitychange', () => tick());
      review.stillness.listen(() => run(way === 'blink'));
    },
    open(next) {
      takeBack();
      review.pace.changed();
      entry = next;
      maps = { before: null, after: null };
      probe = null;
      marked = null;
      region = -1;
      view.fitted = true;
      for (const p of panes) {
        [p.sheet.style.width, p.sheet.style.height] = entry.size.map((n) => `${n}px`);
        for (const [look, image] of p.images) {
          if (entry.looks.has(look)) image.src = review.model.picture(entry, look);
          else image.removeAttribute('src');
          image.hidden = !entry.looks.has(look);
        }
      }
      paintPart();
      outline();
      settle();
      review.owners.of(entry).then((pair) => {
        if (entry !== next) return;
        maps = pair;
        tellProbe();
      });
    },
    close() {
      takeBack();
      clearTimeout(blink.timer);
      blink.runs = false;
    },
    choose,
    get way() { return way; },
    zoom,
    /** Moves the picture, so that what was beyond the edge on one side comes into sight. */
    pan(dx, dy) {
      probe = null;
      pan(dx, dy);
      sayProbe();
    },
    fit() {
      view.fitted = true;
      place();
    },
    whole() {
      view.scale = 1;
      view.fitted = false;
      place();
    },
    show,
    slideBy(f) {
      if (way === 'wipe' || way === 'dissolve') slideTo(slide[way] + f);
    },
    toggleBlink() {
      if (way === 'blink') run(!blink.runs);
      else choose('blink');
    },
    /** The other picture, by hand; not faster than pictures may change. */
    flip() {
      if (!has('blink')) return;
      if (way === 'blink') {
        if (blink.runs) run(false);
        if (review.pace.ready()) flip();
      } else if (review.pace.wait() === 0) {
        choose(way === 'after' ? 'before' : 'after');
      }
    },
    mark(part) {
      if (part === marked) return;
      marked = part;
      paintPart();
    },
    region(index) {
      if (!entry || entry.regions.length === 0) return;
      region = (index + entry.regions.length) % entry.regions.length;
      outline();
      show(entry.regions[region]);
      review.say(`Change ${region + 1} of ${entry.regions.length}`);
    },
    nextRegion() { this.region(region + 1); },
    toggleOutline() {
      get('outline').checked = !get('outline').checked;
      outline();
    },
    ground(value) {
      const known = [...get('ground').options].some((o) => o.value === value);
      get('ground').value = known ? value : 'auto';
      document.documentElement.dataset.ground = get('ground').value;
      review.store.write('ground', get('ground').value);
    },
    nextGround() {
      const { options, selectedIndex } = get('ground');
      this.ground(options[(selectedIndex + 1) % options.length].value);
    },
  };
})(window.layfigReview);
