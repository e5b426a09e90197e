// What the page was told, indexed for filters, search and order.
(function (review) {
  'use strict';
  const STATES = {
    differs: 'differs', new: 'new', not_yet_approved: 'not yet approved', missing: 'missing', removed: 'removed',
    within: 'within tolerance', identical: 'identical',
  };
  const QUIET = new Set(['within', 'identical']);
  review.STATES = STATES;

  review.causeWords = (index) => {
    const { subject, text } = review.model.causes[index] ?? { subject: '', text: '' };
    return `${subject} ${text}`;
  };

  const list = (value) => (Array.isArray(value) ? value : []);

  /** Filters by name: how a pose's values are found, and how a value is shown. */
  const FILTERS = [
    { id: 'state', label: 'State', of: (e) => [e.state], show: (v) => STATES[v] ?? v },
    { id: 'decision', label: 'Decision', of: (e) => [review.decisions.word(e)], show: (v) => v },
    { id: 'cause', label: 'Cause', of: (e) => e.causes, show: (v) => review.causeWords(v) },
    { id: 'part', label: 'Part', of: (e) => e.partNames, show: (v) => v },
    { id: 'member', label: 'Member', of: (e) => [e.member], show: (v) => v },
    { id: 'view', label: 'View', of: (e) => (e.view ? [e.view] : []), show: (v) => v },
    { id: 'list', label: 'Pose list', of: (e) => [e.list], show: (v) => v },
  ];

  function indexed(entry, number, causes) {
    const parts = list(entry.parts);
    const e = {
      number,
      member: String(entry.member ?? ''),
      view: String(entry.view ?? ''),
      list: String(entry.list ?? ''),
      pose: String(entry.pose ?? ''),
      key: String(entry.key ?? number),
      state: Object.hasOwn(STATES, entry.state) ? entry.state : 'missing',
      note: entry.note ?? '',
      reason: entry.reason ?? '',
      rejected: entry.rejected ?? null,
      approved: entry.approved ?? null,
      picture: entry.picture ?? null,
      size: list(entry.size).length === 2 ? entry.size : [1, 1],
      amount: Number(entry.amount) || 0,
      figures: list(entry.figures),
      regions: list(entry.regions),
      more: Number(entry.more) || 0,
      parts,
      partNames: [...new Set(parts.map((p) => p[0]))],
      shares: list(entry.causes).filter(([c]) => c in causes),
      looks: new Set(list(entry.looks)),
      owners: entry.owners === true,
    };
    e.causes = e.shares.map(([c]) => c);
    e.text = [e.pose, e.member, e.view, e.list, STATES[e.state], ...e.partNames, ...parts.map((p) => p[1]),
      ...e.causes.map((c) => `${causes[c].subject} ${causes[c].text}`)].join('\n').toLowerCase();
    return e;
  }

  review.model = {
    FILTERS,
    entries: [],
    causes: [],
    load(data) {
      this.title = String(data.title ?? '');
      this.engine = String(data.engine ?? '');
      this.causes = list(data.causes);
      this.entries = list(data.entries).map((e, n) => indexed(e, n, this.causes));
      this.byKey = new Map(this.entries.map((e) => [e.key, e]));
    },
    /** The file of a picture; its name is a number and a word, as the writer of the page makes it. */
    picture: (entry, look) => `pictures/${String(entry.number).padStart(4, '0')}.${look}.png`,
    /** What is shown small: the picture made for it, else the nearest there is. */
    small(entry) {
      const look = ['small', 'after', 'before'].find((l) => entry.looks.has(l));
      return look ? this.picture(entry, look) : null;
    },
  };

  /** The chosen values of each filter, the search and the order. */
  review.choice = {
    chosen: Object.fromEntries(FILTERS.map((f) => [f.id, new Set()])),
    search: '',
    order: 'amount',
    /** What asks for a look, as long as there is any such. */
    reset() {
      this.clear();
      const states = new Set(review.model.entries.map((e) => e.state));
      const asking = [...states].filter((s) => !QUIET.has(s));
      if (asking.length > 0 && asking.length < states.size) for (const s of asking) this.chosen.state.add(s);
    },
    clear() {
      for (const set of Object.values(this.chosen)) set.clear();
      this.search = '';
    },
    get empty() { return !this.search && Object.values(this.chosen).every((s) => s.size === 0); },
  };

  const passes = (filter, entry) => {
    const chosen = review.choice.chosen[filter.id];
    return chosen.size === 0 || filter.of(entry).some((v) => chosen.has(v));
  };

  const ORDERS = {
    amount: (a, b) => b.amount - a.amount || a.number - b.number,
    file: (a, b) => a.number - b.number,
    name: (a, b) => a.pose.localeCompare(b.pose, 'en', { numeric: true }) || a.number - b.number,
  };

  /** The poses that pass, in order, and for every filter how many poses each of its values would give. */
  review.select = () => {
    const words = review.choice.search.toLowerCase().split(/\s+/).filter(Boolean);
    const counts = Object.fromEntries(FILTERS.map((f) => [f.id, new Map()]));
    const shown = [];
    for (const entry of review.model.entries) {
      if (!words.every((w) => entry.text.includes(w))) continue;
      const failed = FILTERS.filter((f) => !passes(f, entry));
      if (failed.length === 0) shown.push(entry);
      if (failed.length > 1) continue;
      for (const f of failed.length === 1 ? failed : FILTERS) {
        for (const v of f.of(entry)) counts[f.id].set(v, (counts[f.id].get(v) ?? 0) + 1);
      }
    }
    shown.sort(ORDERS[Object.hasOwn(ORDERS, review.choice.order) ? review.choice.order : 'amount']);
    return { shown, counts };
  };
})(window.layfigReview);
