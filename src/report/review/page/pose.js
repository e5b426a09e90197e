// One pose: its picture, what changed, why, and the decision.
(function (review) {
  'use strict';
  const { el, get } = review;
  let entry = null;
  let pending = 0;
  let takeBack = () => {};
  let pinned = null;

  const WHY_NOT = {
    identical: 'It is pixel for pixel the approved picture: there is nothing to decide.',
    missing: 'It could not be drawn: mend it and compare again.',
  };
  const HINT = {
    new: 'New: there is nothing to compare it with.',
    not_yet_approved: 'Not yet approved: there is nothing to compare it with.',
    removed: 'No list has this pose any more, and this is its approved picture: approving takes it out of the approved set.',
    missing: 'This pose could not be drawn: this is the approved picture.',
    within: 'It differs by less than the thresholds.',
    identical: 'Pictures are kept only of what is not identical.',
  };

  function fill(section, list, items) {
    get(section).hidden = items.length === 0;
    get(list).replaceChildren(...items);
  }

  function causes() {
    return entry.shares.map(([index, share]) => {
      const cause = review.model.causes[index];
      const poses = review.model.entries.filter((e) => e.causes.includes(index)).length;
      const button = el('button', { type: 'button', class: 'plain-button' }, `All ${review.count(poses, 'pose', 'poses')} with this cause`);
      button.addEventListener('click', () => {
        review.choice.clear();
        review.choice.chosen.cause.add(index);
        review.route.overview();
      });
      return el('li', {}, review.name(cause.subject, { class: 'cause' }), review.name(cause.text),
        el('span', { class: 'row place' }, `explains ${Math.round(share * 100)} % of the change`, poses > 1 ? button : null));
    });
  }

  function parts() {
    return entry.parts.map(([part, change, area]) => {
      const button = el('button', { type: 'button', class: 'row-button', 'aria-pressed': 'false' },
        review.name(part, { class: 'part' }), review.name(change, { class: 'change' }));
      button.addEventListener('pointerenter', () => review.stage.mark(part));
      button.addEventListener('pointerleave', () => review.stage.mark(pinned));
      button.addEventListener('focus', () => review.stage.mark(part));
      button.addEventListener('blur', () => review.stage.mark(pinned));
      button.addEventListener('click', () => {
        pinned = pinned === part ? null : part;
        for (const b of get('what-list').querySelectorAll('button')) b.setAttribute('aria-pressed', String(b === button && pinned === part));
        review.stage.mark(pinned);
        if (pinned && area) review.stage.show(area);
        else review.stage.fit();
      });
      return el('li', {}, button);
    });
  }

  function regions() {
    const rows = entry.regions.map(([l, t, r, b, pixels, parts], index) => {
      const button = el('button', { type: 'button', class: 'row-button' },
        el('span', { class: 'part number' }, `${r - l} \u00d7 ${b - t} at ${l}, ${t}`),
        el('span', { class: 'change number' }, review.count(pixels, 'pixel', 'pixels'),
          parts?.length ? el('span', {}, ' of ', review.name(parts.join(', '))) : null));
      button.addEventListener('click', () => review.stage.region(index));
      return el('li', {}, button);
    });
    if (entry.more) rows.push(el('li', { class: 'more-places quiet' }, `and ${review.count(entry.more, 'smaller place', 'smaller places')}`));
    return rows;
  }

  function measured() {
    return entry.figures.map(([label, value, limit]) => el('div', {},
      el('dt', {}, review.plain(label)),
      el('dd', { class: 'number' }, review.plain(value), limit ? el('span', { class: 'quiet' }, ` (${review.plain(limit)})`) : null)));
  }

  function decision() {
    if (!entry) return;
    const open = review.decisions.open(entry);
    const now = review.decisions.of(entry);
    get('decide-buttons').hidden = !open;
    get('go-on-box').hidden = !open;
    get('decide-none').hidden = open;
    get('decide-none').textContent = WHY_NOT[entry.state] ?? '';
    for (const d of ['approve', 'reject']) get(d).setAttribute('aria-pressed', String(now === d));
    get('approve').lastChild.textContent = now === 'approve' ? 'Approved' : 'Approve';
    get('reject').lastChild.textContent = now === 'reject' ? 'Rejected' : 'Reject';
    if (document.activeElement !== get('note')) get('note').value = review.decisions.note(entry);
  }

  function go(by) {
    const shown = review.grid.shown;
    const at = shown.indexOf(entry);
    const next = shown[at < 0 ? 0 : at + by];
    if (next) review.route.pose(next);
  }

  review.pose = {
    build() {
      get('back').addEventListener('click', () => review.route.overview());
      get('previous').addEventListener('click', () => this.step(-1));
      get('next').addEventListener('click', () => this.step(1));
      for (const d of ['approve', 'reject']) get(d).addEventListener('click', () => this.decide(d));
      get('note').addEventListener('input', () => { if (entry) pendingNote(entry, get('note').value); });
      get('note').addEventListener('blur', flushNote);
      get('go-on').checked = review.store.read('go-on') === 'yes';
      get('go-on').addEventListener('change', () => review.store.write('go-on', get('go-on').checked ? 'yes' : 'no'));
      review.decisions.listen(decision);
      addEventListener('pagehide', flushNote);
    },
    get entry() { return entry; },
    open(next) {
      flushNote();
      takeBack();
      pending = 0;
      pinned = null;
      entry = next;
      const shown = review.grid.shown;
      const at = shown.indexOf(entry);
      get('pose-name').replaceChildren(review.name(entry.pose));
      const where = [entry.member, entry.view, entry.list].filter(Boolean).flatMap((t, i) => (i ? [', ', review.name(t)] : [review.name(t)]));
      get('pose-where').replaceChildren(el('span', { class: 'state', 'data-state': entry.state }, review.STATES[entry.state]), ' ', ...where);
      get('pose-place').textContent = at < 0 ? '' : `${(at + 1).toLocaleString('en')} of ${shown.length.toLocaleString('en')}`;
      get('previous').disabled = at <= 0;
      get('next').disabled = at < 0 ? shown.length === 0 : at >= shown.length - 1;
      fill('why', 'why-list', causes());
      fill('what', 'what-list', parts());
      fill('places', 'places-list', regions());
      fill('measured', 'measured-list', measured());
      const hint = [entry.reason ? review.plain(entry.reason) : HINT[entry.state]].filter(Boolean).join(' ');
      get('pose-note').textContent = review.plain(entry.note);
      get('pose-note').hidden = !entry.note;
      get('refused').hidden = entry.rejected === null;
      get('refused').textContent = entry.rejected === null ? ''
        : `This very picture was rejected before${entry.rejected ? `: ${review.plain(entry.rejected)}` : '.'}`;
      get('stage-why').textContent = hint;
      get('stage-why').hidden = !hint;
      get('stage').setAttribute('aria-label', `Pictures of ${review.plain(entry.pose)}, ${review.STATES[entry.state]}`);
      get('facts').scrollTop = 0;
      get('note').value = review.decisions.note(entry);
      decision();
      review.stage.open(entry);
    },
    close() {
      flushNote();
      takeBack();
      review.stage.close();
      entry = null;
    },
    /** Other poses come as they are asked for, their pictures not faster than pictures may change. */
    step(by) {
      pending += by;
      takeBack();
      takeBack = review.pace.soon(() => {
        const steps = pending;
        pending = 0;
        go(steps);
      });
    },
    decide(d) {
      if (!entry || !review.decisions.open(entry)) return;
      review.decisions.decide(entry, d);
      if (get('go-on').checked && review.decisions.of(entry) === d) this.nextUndecided();
    },
    nextUndecided() {
      const shown = review.grid.shown;
      const at = shown.indexOf(entry);
      const next = [...shown.slice(at + 1), ...shown.slice(0, Math.max(0, at))]
        .find((e) => review.decisions.due(e));
      takeBack();
      pending = 0;
      // Another pose is another picture: it comes when pictures may change.
      if (next) takeBack = review.pace.soon(() => review.route.pose(next));
      else review.tell('All poses shown are decided.');
    },
  };

  // A note is one change, not one for every letter.
  let unwritten = null;
  let noteTimer = 0;
  function pendingNote(of, text) {
    unwritten = { of, text };
    clearTimeout(noteTimer);
    noteTimer = setTimeout(flushNote, 600);
  }
  function flushNote() {
    clearTimeout(noteTimer);
    if (!unwritten) return;
    const { of, text } = unwritten;
    unwritten = null;
    review.decisions.write(of, text.trim());
  }
  review.flushNote = flushNote;
})(window.layfigReview);
