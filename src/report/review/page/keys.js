// Everything by key. One table serves the keys and the list of them.
(function (review) {
  'use strict';
  const { el, get } = review;
  const inPose = () => !get('pose').hidden;
  const STEP = 60;

  // [keys, where, what they do, how]; where is '' for both pages.
  const move = (dx, dy) => () => review.stage.pan(dx, dy);
  const KEYS = [
    [['ArrowLeft', 'ArrowRight', 'ArrowUp', 'ArrowDown', 'Home', 'End', 'PageUp', 'PageDown'], 'overview', 'from pose to pose', (key) => review.grid.move(key)],
    [['Enter'], 'overview', 'open the pose', null],
    [['/'], 'overview', 'search', () => get('search').focus()],
    [['f'], 'overview', 'filters', () => review.filters.focus()],
    [['c'], 'overview', 'clear filters', () => review.clear()],
    [['g'], 'overview', 'to the poses', () => review.grid.focus()],
    [['A'], 'overview', 'approve all shown', () => get('approve-shown').click()],
    [['j'], 'pose', 'pose after this', () => review.pose.step(1)],
    [['k'], 'pose', 'pose before this', () => review.pose.step(-1)],
    [['g'], 'pose', 'next undecided pose', () => review.pose.nextUndecided()],
    [['Escape'], 'pose', 'back to all poses', () => review.route.overview()],
    [['1'], 'pose', 'side by side', () => review.stage.choose('side')],
    [['2'], 'pose', 'before', () => review.stage.choose('before')],
    [['3'], 'pose', 'after', () => review.stage.choose('after')],
    [['4'], 'pose', 'difference', () => review.stage.choose('difference')],
    [['5'], 'pose', 'wipe', () => review.stage.choose('wipe')],
    [['6'], 'pose', 'dissolve', () => review.stage.choose('dissolve')],
    [['7'], 'pose', 'blink', () => review.stage.choose('blink')],
    [['x'], 'pose', 'flip between before and after', () => review.stage.flip()],
    [[' '], 'pose', 'blink: pause, run', () => review.stage.toggleBlink()],
    [[','], 'pose', 'wipe, dissolve: towards before', () => review.stage.slideBy(-0.05)],
    [['.'], 'pose', 'wipe, dissolve: towards after', () => review.stage.slideBy(0.05)],
    [['+', '='], 'pose', 'larger', () => review.stage.zoom(1.25)],
    [['-'], 'pose', 'smaller', () => review.stage.zoom(1 / 1.25)],
    [['0'], 'pose', 'fit', () => review.stage.fit()],
    [['9'], 'pose', 'one pixel to a pixel', () => review.stage.whole()],
    [['ArrowLeft'], 'pose', 'move the picture', move(STEP, 0)],
    [['ArrowRight'], 'pose', '', move(-STEP, 0)],
    [['ArrowUp'], 'pose', '', move(0, STEP)],
    [['ArrowDown'], 'pose', '', move(0, -STEP)],
    [['p'], 'pose', 'to the picture (its middle names the part)', () => get('stage').focus()],
    [['c'], 'pose', 'next changed place', () => review.stage.nextRegion()],
    [['o'], 'pose', 'outline changes', () => review.stage.toggleOutline()],
    [['b'], 'pose', 'next ground', () => review.stage.nextGround()],
    [['a'], '', 'approve', () => decide('approve')],
    [['r'], '', 'reject', () => decide('reject')],
    [['n'], '', 'note', () => note()],
    [['z'], '', 'take the last decision back', () => review.decisions.undo()],
    [['e'], '', 'export decisions', () => review.decisions.save()],
    [['i'], '', 'import decisions', () => get('import').click()],
    [['t'], '', 'light or dark', () => get('theme').click()],
    [['?'], '', 'this list', () => review.help()],
  ];
  const WORDS = {
    ArrowLeft: '\u2190', ArrowRight: '\u2192', ArrowUp: '\u2191', ArrowDown: '\u2193', PageUp: 'Page up', PageDown: 'Page down',
    Escape: 'Esc', ' ': 'Space', A: 'Shift A', '=': null,
  };
  const word = (key) => (key in WORDS ? WORDS[key] : key.length === 1 ? key.toUpperCase() : key);

  function decide(d) {
    if (inPose()) review.pose.decide(d);
    else if (review.grid.current && document.activeElement?.closest('#grid')) review.decisions.decide(review.grid.current, d);
  }

  function note() {
    if (!inPose()) {
      if (!review.grid.current || !document.activeElement?.closest('#grid')) return;
      review.route.pose(review.grid.current);
      // The pose opens when the address has changed.
      addEventListener('layfig-opened', () => get('note').focus(), { once: true });
      return;
    }
    get('note').focus();
  }

  /** Whether the element in focus has a use of its own for the key. */
  function taken(key, target) {
    if (target.closest('textarea, select, input:not([type=checkbox]):not([type=range])')) return true;
    if (target.matches('input[type=range]')) return key.startsWith('Arrow') || key === 'Home' || key === 'End' || key.startsWith('Page');
    if (key === ' ' || key === 'Enter') return Boolean(target.closest('button, a, input, summary'));
    return false;
  }

  function pressed(event) {
    if (event.defaultPrevented || event.isComposing) return;
    const { key, target } = event;
    if (get('help').open) return;
    if ((event.ctrlKey || event.metaKey) && !event.altKey && !event.shiftKey && key.toLowerCase() === 'z' && !taken(key, target)) {
      event.preventDefault();
      review.decisions.undo();
      return;
    }
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (key === 'Escape' && target.matches('#note, #search, select')) {
      // Out of a field first, and only then out of the pose.
      event.preventDefault();
      if (target.id === 'search') review.grid.focus();
      else get('stage').focus();
      return;
    }
    if (key === 'Escape' && !inPose() && get('overview').classList.contains('filters-shown')) {
      review.filters.open(false);
      get('filters-open').focus();
      return;
    }
    if (taken(key, target)) return;
    const single = key.length === 1;
    if (single && !get('single-keys').checked) return;
    // Arrows belong to what scrolls, but where they have a meaning of their own.
    const arrows = key.startsWith('Arrow') || ['Home', 'End', 'PageUp', 'PageDown'].includes(key);
    if (arrows && !target.closest(inPose() ? '#stage' : '#grid') && target !== document.body) return;
    const where = inPose() ? 'pose' : 'overview';
    // With caps lock letters are capitals; only with shift they mean one.
    const meant = single && !event.shiftKey ? key.toLowerCase() : key;
    const row = KEYS.find(([keys, at, , act]) => act && (at === '' || at === where) && keys.includes(meant));
    if (!row) return;
    event.preventDefault();
    row[3](meant);
  }

  review.help = () => {
    const box = get('help-keys');
    if (!box.firstChild) {
      for (const [at, title] of [['overview', 'All poses'], ['pose', 'One pose'], ['', 'Everywhere']]) {
        const rows = KEYS.filter(([, where, what]) => where === at && what);
        const list = el('dl', {});
        for (const [keys, , what] of rows) {
          const caps = (what === 'move the picture' ? ['ArrowLeft', 'ArrowRight', 'ArrowUp', 'ArrowDown'] : keys).map(word).filter(Boolean);
          list.append(el('div', {}, el('dt', {}, ...caps.map((c) => el('kbd', {}, c))), el('dd', {}, what)));
        }
        box.append(el('section', {}, el('h3', {}, title), list));
      }
    }
    get('help-kept').textContent = review.store.works
      ? 'Decisions are kept in this browser until they are exported.'
      : 'This browser keeps nothing for this page: export decisions before you close it.';
    get('help').showModal();
  };

  review.keys = {
    KEYS,
    build() {
      document.addEventListener('keydown', pressed);
      const single = get('single-keys');
      single.checked = review.store.read('single-keys') !== 'no';
      single.addEventListener('change', () => review.store.write('single-keys', single.checked ? 'yes' : 'no'));
      get('help-open').addEventListener('click', () => review.help());
      get('help-close').addEventListener('click', () => get('help').close());
      get('help').addEventListener('click', (event) => { if (event.target === get('help')) get('help').close(); });
    },
  };
})(window.layfigReview);
