// The filters beside the overview: what a pose can be found by, each value with how many poses it would give.
(function (review) {
  'use strict';
  const { el, get } = review;
  const FEW = 8;
  const groups = [];

  function group(filter) {
    const box = el('fieldset', { class: `filter filter-${filter.id}` });
    const values = el('ul', { role: 'list' });
    const more = el('button', { type: 'button', class: 'more', 'aria-expanded': 'false' });
    box.append(el('legend', {}, filter.label), values, more);
    const g = { filter, box, values, more, open: false, rows: new Map() };
    more.addEventListener('click', () => {
      g.open = !g.open;
      lay(g);
    });
    return g;
  }

  function row(g, value) {
    const input = el('input', { type: 'checkbox' });
    const name = review.name(g.filter.show(value));
    const count = el('span', { class: 'number' });
    const label = el('label', { class: 'choice' }, input, name, count);
    if (g.filter.id === 'state') name.dataset.state = value;
    input.addEventListener('change', () => {
      const chosen = review.choice.chosen[g.filter.id];
      if (input.checked) chosen.add(value);
      else chosen.delete(value);
      review.refresh();
    });
    return { value, input, count, item: el('li', {}, label), n: 0 };
  }

  // Rows stay where they are while counts change, so that nothing moves under the pointer or loses the focus.
  function lay(g) {
    const rows = [...g.rows.values()];
    const many = rows.length > FEW + 2;
    let place = 0;
    for (const r of rows) {
      const chosen = review.choice.chosen[g.filter.id].has(r.value);
      r.item.hidden = many && !g.open && place >= FEW && !chosen;
      place += 1;
    }
    g.more.hidden = !many;
    g.more.textContent = g.open ? 'Fewer' : `All ${rows.length.toLocaleString('en')}`;
    g.more.setAttribute('aria-expanded', String(g.open));
  }

  review.filters = {
    build() {
      const form = get('filters');
      form.addEventListener('submit', (event) => event.preventDefault());
      const all = new Map(review.model.FILTERS.map((f) => [f.id, new Map()]));
      for (const entry of review.model.entries) {
        for (const f of review.model.FILTERS) {
          for (const v of f.of(entry)) all.get(f.id).set(v, (all.get(f.id).get(v) ?? 0) + 1);
        }
      }
      const states = Object.keys(review.STATES);
      const orders = {
        state: (a, b) => states.indexOf(a[0]) - states.indexOf(b[0]),
        // Causes come in order of the poses they touch.
        cause: (a, b) => a[0] - b[0],
        part: (a, b) => b[1] - a[1],
      };
      for (const filter of review.model.FILTERS) {
        const g = group(filter);
        const values = filter.id === 'decision'
          ? ['undecided', 'approved', 'rejected', 'nothing to decide']
          : [...all.get(filter.id)].sort(orders[filter.id] ?? (() => 0)).map(([v]) => v);
        for (const value of values) {
          const r = row(g, value);
          g.rows.set(value, r);
          g.values.append(r.item);
        }
        // One value for all poses is no choice.
        const choice = values.length > 1 || filter.id === 'cause' || filter.id === 'part';
        g.box.hidden = !choice || values.length === 0;
        groups.push(g);
        form.append(g.box);
      }
    },
    update(counts) {
      for (const g of groups) {
        for (const r of g.rows.values()) {
          const n = counts[g.filter.id].get(r.value) ?? 0;
          r.input.checked = review.choice.chosen[g.filter.id].has(r.value);
          if (n !== r.n || !r.count.textContent) {
            r.n = n;
            r.count.textContent = n.toLocaleString('en');
            r.item.classList.toggle('none', n === 0);
          }
        }
        lay(g);
      }
    },
    focus() {
      // On a wide page they are always there.
      if (get('filters-open').offsetParent) review.filters.open(true);
      get('filters').querySelector('input')?.focus();
    },
    open(open) {
      get('overview').classList.toggle('filters-shown', open);
      get('filters-open').setAttribute('aria-expanded', String(open));
    },
  };
})(window.layfigReview);
