// Starts the page when its data come, and follows the address: `#/?state=changed` or `#/pose/KEY`.
(function (review) {
  'use strict';
  const { get } = review;

  function address() {
    const query = new URLSearchParams();
    for (const [id, set] of Object.entries(review.choice.chosen)) for (const v of set) query.append(id, v);
    if (review.choice.search) query.set('search', review.choice.search);
    if (review.choice.order !== 'amount') query.set('order', review.choice.order);
    const text = query.toString();
    return `#/?${text || 'all'}`;
  }

  function readAddress(text) {
    if (!text) {
      review.choice.reset();
      return;
    }
    review.choice.clear();
    const query = new URLSearchParams(text);
    for (const [id, set] of Object.entries(review.choice.chosen)) {
      for (const v of query.getAll(id)) set.add(id === 'cause' ? Number(v) : v);
    }
    review.choice.search = query.get('search') ?? '';
    review.choice.order = query.get('order') ?? 'amount';
  }

  review.route = {
    to: (entry) => `#/pose/${encodeURIComponent(entry.key)}`,
    pose(entry) { location.hash = this.to(entry); },
    overview() { location.hash = address(); },
  };

  let fresh = true;
  function follow() {
    const hash = location.hash;
    const opened = hash.match(/^#\/pose\/(.+)$/);
    let entry = null;
    try {
      entry = opened ? review.model.byKey.get(decodeURIComponent(opened[1])) ?? null : null;
    } catch { /* A broken address is the overview. */ }
    if (entry) {
      if (fresh) {
        readAddress('');
        get('overview').hidden = true;
        review.refresh();
      }
      get('overview').hidden = true;
      get('pose').hidden = false;
      document.title = `${review.plain(entry.pose)} \u2013 Review of ${review.plain(review.model.title)}`;
      const from = review.pose.entry;
      review.pose.open(entry);
      // What had the focus may be gone or have nothing left to do.
      const active = document.activeElement;
      if (!from || active === document.body || active.disabled || active.closest('[hidden]')) get('stage').focus({ preventScroll: true });
      dispatchEvent(new Event('layfig-opened'));
    } else {
      const from = review.pose.entry;
      const place = get('scroller').scrollTop;
      review.pose.close();
      get('pose').hidden = true;
      get('overview').hidden = false;
      document.title = `Review of ${review.plain(review.model.title)}`;
      readAddress(hash.match(/^#\/\?(.*)$/)?.[1] ?? '');
      review.refresh(true);
      if (from) {
        get('scroller').scrollTop = place;
        review.grid.find(from);
      }
    }
    fresh = false;
  }

  /** Shows what the filters choose. */
  review.refresh = (keepPlace = false) => {
    const { shown, counts } = review.select();
    review.filters.update(counts);
    review.grid.show(shown, keepPlace);
    const total = review.model.entries.length;
    get('shown').textContent = shown.length === total ? review.count(total, 'pose', 'poses')
      : `${shown.length.toLocaleString('en')} of ${review.count(total, 'pose', 'poses')}`;
    get('nothing').hidden = shown.length > 0;
    get('nothing-text').textContent = total === 0 ? 'No poses were compared.' : 'No pose passes these filters.';
    get('nothing-clear').hidden = total === 0;
    get('approve-shown').hidden = !shown.some((e) => review.decisions.open(e));
    if (get('search').value !== review.choice.search) get('search').value = review.choice.search;
    get('order').value = review.choice.order;
    if (!get('overview').hidden) {
      try {
        history.replaceState(null, '', address());
      } catch { /* The address is a convenience. */ }
      if (!keepPlace) review.say(get('shown').textContent);
    }
  };

  review.clear = () => {
    review.choice.clear();
    review.refresh();
  };

  function tally() {
    const states = new Map();
    for (const e of review.model.entries) states.set(e.state, (states.get(e.state) ?? 0) + 1);
    const { asked, approve, reject } = review.decisions.tally();
    const parts = Object.entries(review.STATES).filter(([s]) => states.has(s)).map(([s, words]) => `${states.get(s).toLocaleString('en')} ${s === 'differs' && states.get(s) > 1 ? 'differ' : words}`);
    const decided = asked ? `${(approve + reject).toLocaleString('en')} of ${asked.toLocaleString('en')} decided` : 'nothing to decide';
    get('tally').textContent = `${decided[0].toUpperCase()}${decided.slice(1)}: ${parts.join(', ')}.`;
  }

  review.start = (data) => {
    review.model.load(data);
    review.decisions.listen(tally);
    for (const part of [review.filters, review.grid, review.stage, review.pose, review.keys]) part.build();
    review.decisions.load();

    let timer = 0;
    get('search').addEventListener('input', () => {
      clearTimeout(timer);
      timer = setTimeout(() => {
        review.choice.search = get('search').value;
        review.refresh();
      }, 80);
    });
    get('order').addEventListener('change', () => {
      review.choice.order = get('order').value;
      review.refresh();
    });
    get('clear').addEventListener('click', review.clear);
    get('nothing-clear').addEventListener('click', () => {
      review.clear();
      review.grid.focus();
    });
    get('filters-open').addEventListener('click', () => review.filters.focus());
    get('filters-close').addEventListener('click', () => {
      review.filters.open(false);
      get('filters-open').focus();
    });
    get('approve-shown').addEventListener('click', () => review.decisions.approveAll(review.grid.shown));
    get('skip').addEventListener('click', () => (get('overview').hidden ? get('stage').focus() : review.grid.focus()));
    get('export').addEventListener('click', () => {
      review.flushNote();
      review.decisions.save();
    });
    get('import').addEventListener('click', () => get('import-file').click());
    get('import-file').addEventListener('change', async () => {
      const [file] = get('import-file').files;
      if (file) await review.decisions.read(file);
      get('import-file').value = '';
    });
    const theme = () => { get('theme').textContent = window.layfigTheme.now === 'dark' ? 'Light' : 'Dark'; };
    get('theme').addEventListener('click', () => window.layfigTheme.toggle());
    document.addEventListener('layfig-theme', theme);
    theme();
    addEventListener('beforeunload', (event) => {
      const { approve, reject, loose } = review.decisions.tally();
      if (!review.store.works && approve + reject + loose > 0) event.preventDefault();
    });
    addEventListener('hashchange', follow);
    follow();
  };
})(window.layfigReview);
