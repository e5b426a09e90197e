// What the director decided: kept in the browser, taken out as a file, read in again. A decision is about two
// pictures, the approved one and the new one, and holds for no others.
(function (review) {
  'use strict';
  const WORDS = { approve: 'approved', reject: 'rejected' };
  const LONGEST_NOTE = 4000;
  const byKey = new Map();
  const past = [];
  const listeners = [];

  const known = (d) => Object.hasOwn(WORDS, d);
  const FORMAT = 1;
  const slot = () => `decisions.${location.pathname}`;
  const list = () => [...byKey].map(([pose, { decision, note }]) => {
    const { approved, picture } = review.model.byKey.get(pose);
    return { pose, decision, note, approved, picture };
  });

  function keep() {
    review.store.write(slot(), JSON.stringify(list()));
    for (const listener of listeners) listener();
  }

  function put(key, decision, note) {
    if (decision || note) byKey.set(key, { decision, note });
    else byKey.delete(key);
  }

  /** Does a change to some poses at once, so that it can be taken back at once. */
  function change(entries, make) {
    past.push(entries.map((e) => [e.key, byKey.get(e.key)]));
    if (past.length > 200) past.shift();
    for (const e of entries) {
      const old = byKey.get(e.key) ?? { decision: null, note: '' };
      const { decision, note } = { ...old, ...make(old) };
      put(e.key, decision, note);
    }
    keep();
  }

  /** Reads a list of decisions from outside; what is not understood is counted and left out. */
  function take(items) {
    const out = { taken: [], unknown: 0, stale: 0, wrong: 0 };
    for (const item of items) {
      if (typeof item !== 'object' || item === null || typeof item.pose !== 'string') {
        out.wrong += 1;
        continue;
      }
      const entry = review.model.byKey.get(item.pose);
      if (!entry) {
        out.unknown += 1;
        continue;
      }
      if ((item.approved ?? null) !== entry.approved || (item.picture ?? null) !== entry.picture) {
        out.stale += 1;
        continue;
      }
      const decision = item.decision ?? null;
      const note = item.note ?? '';
      if ((decision !== null && !known(decision)) || typeof note !== 'string' || note.length > LONGEST_NOTE
        || (decision !== null && !review.decisions.open(entry))) {
        out.wrong += 1;
        continue;
      }
      out.taken.push([entry, decision, note]);
    }
    return out;
  }

  review.decisions = {
    /** Whether there is anything to decide about a pose. */
    open: (entry) => !['identical', 'missing'].includes(entry.state),
    of: (entry) => byKey.get(entry.key)?.decision ?? null,
    note: (entry) => byKey.get(entry.key)?.note ?? '',
    word(entry) {
      return this.open(entry) ? WORDS[this.of(entry)] ?? 'undecided' : 'nothing to decide';
    },
    listen: (then) => listeners.push(then),

    load() {
      try {
        const items = JSON.parse(review.store.read(slot()) ?? '[]');
        if (Array.isArray(items)) for (const [e, d, n] of take(items).taken) put(e.key, d, n);
      } catch { /* What another program wrote there is no decision. */ }
      for (const listener of listeners) listener();
    },

    /** Whether somebody must decide. */
    due(entry) { return this.open(entry) && entry.state !== 'within' && !this.of(entry); },

    /** The same decision again takes it back. */
    decide(entry, decision) {
      if (!this.open(entry)) return;
      change([entry], (old) => ({ decision: old.decision === decision ? null : decision }));
      const now = this.of(entry);
      review.say(now ? `${entry.pose}: ${WORDS[now]}` : `${entry.pose}: undecided again`);
    },

    write(entry, note) {
      if (note === this.note(entry)) return;
      change([entry], () => ({ note: note.slice(0, LONGEST_NOTE) }));
    },

    /** Approves those of the poses that are undecided. */
    approveAll(entries) {
      const open = entries.filter((e) => this.open(e) && !this.of(e));
      if (open.length === 0) {
        review.tell('None of the poses shown is undecided.');
        return;
      }
      change(open, () => ({ decision: 'approve' }));
      review.tell(`${review.count(open.length, 'pose', 'poses')} approved.`, () => this.undo());
    },

    undo() {
      const before = past.pop();
      if (!before) {
        review.tell('There is nothing to take back.');
        return;
      }
      for (const [key, old] of before) put(key, old?.decision ?? null, old?.note ?? '');
      keep();
      review.tell('Taken back.');
    },

    tally() {
      const open = review.model.entries.filter((e) => this.open(e));
      const count = (d) => open.filter((e) => this.of(e) === d).length;
      return {
        asked: open.filter((e) => e.state !== 'within' || this.of(e)).length,
        approve: count('approve'),
        reject: count('reject'),
        loose: [...byKey.values()].filter((d) => d.note && !d.decision).length,
      };
    },

    /** The file that `layfig approve --decisions` reads. */
    text() {
      const order = new Map(review.model.entries.map((e) => [e.key, e.number]));
      const decisions = list().filter((d) => d.decision).sort((a, b) => order.get(a.pose) - order.get(b.pose));
      return `${JSON.stringify({ format: FORMAT, decisions }, null, 2)}\n`;
    },

    save() {
      const url = URL.createObjectURL(new Blob([this.text()], { type: 'application/json' }));
      const link = review.el('a', { href: url, download: 'decisions.json' });
      document.body.append(link);
      link.click();
      link.remove();
      setTimeout(() => URL.revokeObjectURL(url), 10000);
      const { approve, reject, loose } = this.tally();
      const left = loose ? ` ${review.count(loose, 'note', 'notes')} without a decision stayed here.` : '';
      review.tell(`decisions.json: ${approve} approved, ${reject} rejected.${left}`);
    },

    /** Reads a file of decisions over what is here. */
    async read(file) {
      let value;
      try {
        value = JSON.parse(await file.text());
      } catch {
        review.tell('This file is not JSON; nothing was changed.');
        return;
      }
      if (value?.format !== FORMAT || !Array.isArray(value.decisions)) {
        review.tell('This is no file of decisions, or one of another version; nothing was changed.');
        return;
      }
      const { taken, unknown, stale, wrong } = take(value.decisions);
      const made = new Map(taken.map(([e, decision, note]) => [e.key, { decision, note }]));
      change(taken.map(([e]) => e), () => ({}));
      for (const [key, { decision, note }] of made) put(key, decision, note);
      keep();
      const more = [
        unknown > 0 && `${unknown} of poses that are not here`,
        stale > 0 && `${stale} about other pictures than these`,
        wrong > 0 && `${wrong} that cannot be read`,
      ].filter(Boolean);
      review.tell(`${review.count(taken.length, 'decision', 'decisions')} read${more.length ? `; left out: ${more.join(', ')}` : ''}.`,
        () => this.undo());
    },
  };
})(window.layfigReview);
