// The overview's pictures. Only rows in sight, and one more on each side, are in the document: a thousand poses
// cost what thirty cost.
(function (review) {
  'use strict';
  const { el, get } = review;
  const BEYOND = 1;
  const MOST_BOXES = 6;
  let shown = [];
  let current = 0;
  let layout = { columns: 1, width: 1, height: 1, gap: 0, frame: 1 };
  const cards = new Map();

  const grid = () => get('grid');
  const scroller = () => get('scroller');

  function measure() {
    const style = getComputedStyle(grid());
    const size = (name) => parseFloat(style.getPropertyValue(name));
    const gap = size('--card-gap');
    const room = grid().clientWidth;
    const columns = Math.max(1, Math.floor((room + gap) / (size('--card-width') + gap)));
    layout = { columns, width: (room - gap * (columns - 1)) / columns, height: size('--card-height'), gap, frame: size('--frame-height') };
  }

  function boxes(entry) {
    const [width, height] = entry.size;
    return entry.regions.slice(0, MOST_BOXES).map(([l, t, r, b]) => {
      const box = el('i', { class: 'box' });
      box.style.left = `${(l / width) * 100}%`;
      box.style.top = `${(t / height) * 100}%`;
      box.style.width = `${((r - l) / width) * 100}%`;
      box.style.height = `${((b - t) / height) * 100}%`;
      return box;
    });
  }

  /** The few words that say most about a pose. */
  function gist(entry) {
    if (entry.reason && entry.parts.length === 0) return review.plain(entry.reason);
    if (entry.parts.length === 0) return '';
    const [[part, change]] = entry.parts;
    const more = entry.parts.length - 1;
    return `${review.plain(part)} ${review.plain(change)}${more > 0 ? `, ${more} more` : ''}`;
  }

  function mark(card, entry) {
    const decision = review.decisions.of(entry);
    card.mark.replaceChildren();
    if (decision) card.mark.append(review.sign(decision), review.decisions.word(entry));
    if (review.decisions.note(entry)) card.mark.append(review.sign('note'), el('span', { class: 'unseen' }, ' has a note'));
    card.item.dataset.decision = decision ?? '';
  }

  function card(entry, index) {
    const picture = review.model.small(entry);
    const frame = el('span', { class: 'frame' });
    if (picture) {
      const [width, height] = entry.size;
      const fit = el('span', { class: 'fit' });
      fit.style.aspectRatio = `${width} / ${height}`;
      fit.classList.toggle('wide', width / height > layout.width / layout.frame);
      fit.append(el('img', { src: picture, alt: '', loading: 'lazy', decoding: 'async', draggable: 'false' }), ...boxes(entry));
      frame.append(fit);
    } else {
      frame.append(el('span', { class: 'no-picture' }, 'no picture'));
    }
    const marks = el('span', { class: 'mark' });
    const where = el('span', { class: 'where' }, review.name(entry.member));
    if (entry.view) where.append(', ', review.name(entry.view));
    where.append(', ', review.name(entry.list));
    const link = el('a', { class: 'card', href: review.route.to(entry), tabindex: index === current ? '0' : '-1' },
      frame,
      el('span', { class: 'line' }, review.name(entry.pose, { class: 'pose-word', title: review.plain(entry.pose) }), marks),
      where,
      el('span', { class: 'state', 'data-state': entry.state }, review.STATES[entry.state]),
      el('bdi', { class: 'gist', title: gist(entry) }, gist(entry)));
    const item = el('li', { 'aria-posinset': index + 1, 'aria-setsize': shown.length }, link);
    const made = { item, link, mark: marks, entry };
    mark(made, entry);
    link.addEventListener('focus', () => step(index, false));
    return made;
  }

  function place(made, index) {
    const { columns, width, height, gap } = layout;
    const x = (index % columns) * (width + gap);
    const y = Math.floor(index / columns) * (height + gap);
    made.item.style.width = `${width}px`;
    made.item.style.height = `${height}px`;
    made.item.style.transform = `translate(${x}px, ${y}px)`;
  }

  function range() {
    const { columns, height, gap } = layout;
    const top = scroller().scrollTop;
    const first = Math.max(0, Math.floor(top / (height + gap)) - BEYOND);
    const last = Math.ceil((top + scroller().clientHeight) / (height + gap)) + BEYOND;
    return [first * columns, Math.min(shown.length, last * columns)];
  }

  function draw() {
    const [from, to] = range();
    const focused = document.activeElement?.closest?.('#grid li');
    for (const [index, made] of cards) {
      // The card with the focus stays, or the focus would be lost.
      if ((index < from || index >= to) && made.item !== focused) {
        made.item.remove();
        cards.delete(index);
      }
    }
    let added = false;
    for (let index = from; index < to; index += 1) {
      if (cards.has(index)) continue;
      const made = card(shown[index], index);
      place(made, index);
      cards.set(index, made);
      added = true;
    }
    if (!added) return;
    // In the document as on the screen, for those who hear the page.
    let after = null;
    for (const index of [...cards.keys()].sort((a, b) => b - a)) {
      const { item } = cards.get(index);
      if (item.parentNode !== grid() || item.nextSibling !== after) grid().insertBefore(item, after);
      after = item;
    }
  }

  function lay() {
    measure();
    const { columns, height, gap } = layout;
    const rows = Math.ceil(shown.length / columns);
    grid().style.height = `${Math.max(0, rows * (height + gap) - gap)}px`;
    for (const [index, made] of cards) place(made, index);
    draw();
  }

  /** Makes a card the current one, brings it into sight and, if asked, gives it the focus. */
  function step(index, focus = true) {
    if (shown.length === 0) return;
    const next = Math.min(shown.length - 1, Math.max(0, index));
    cards.get(current)?.link.setAttribute('tabindex', '-1');
    current = next;
    const { columns, height, gap } = layout;
    const top = Math.floor(current / columns) * (height + gap);
    const view = scroller();
    if (focus) {
      if (top < view.scrollTop) view.scrollTop = top;
      else if (top + height > view.scrollTop + view.clientHeight - gap) view.scrollTop = top + height + gap - view.clientHeight;
      draw();
    }
    const made = cards.get(current);
    made?.link.setAttribute('tabindex', '0');
    if (focus) made?.link.focus({ preventScroll: true });
  }

  review.grid = {
    build() {
      let asked = false;
      const soon = (then) => () => {
        if (asked) return;
        asked = true;
        requestAnimationFrame(() => {
          asked = false;
          if (!get('overview').hidden) then();
        });
      };
      scroller().addEventListener('scroll', soon(draw), { passive: true });
      new ResizeObserver(soon(lay)).observe(scroller());
      review.decisions.listen(() => { for (const made of cards.values()) mark(made, made.entry); });
    },
    /** Shows these poses; where it was before stays current as far as it is among them. */
    show(entries, keepPlace) {
      const was = shown[current];
      const had = Boolean(document.activeElement?.closest?.('#grid'));
      shown = entries;
      for (const made of cards.values()) made.item.remove();
      cards.clear();
      current = Math.max(0, was ? shown.indexOf(was) : 0);
      if (!keepPlace) scroller().scrollTop = 0;
      lay();
      if (had) step(current);
    },
    lay,
    get shown() { return shown; },
    get current() { return shown[current] ?? null; },
    focus: () => (shown.length > 0 ? step(current) : get('nothing-clear').focus()),
    /** The card of this pose becomes the current one. */
    find(entry) {
      const index = shown.indexOf(entry);
      if (index >= 0) step(index);
    },
    move(key) {
      const page = Math.max(1, Math.floor(scroller().clientHeight / (layout.height + layout.gap)));
      const by = {
        ArrowLeft: -1, ArrowRight: 1, ArrowUp: -layout.columns, ArrowDown: layout.columns,
        PageUp: -page * layout.columns, PageDown: page * layout.columns, Home: -Infinity, End: Infinity,
      }[key];
      const to = current + by;
      // Up from the first row and down from the last there is nothing.
      if (Math.abs(by) === layout.columns && (to < 0 || to >= shown.length)) return;
      step(to === Infinity ? shown.length - 1 : to === -Infinity ? 0 : to);
    },
  };
})(window.layfigReview);
