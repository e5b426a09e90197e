// How often pictures may change: WCAG 2.2, 2.3.1 allows three flashes in any second; here it is never more than
// two and a half changes, whoever asks for them, a timer or a held key.
(function (review) {
  'use strict';
  const SHORTEST = 400;
  let last = -Infinity;
  review.pace = {
    SHORTEST,
    /** Milliseconds until a picture may change. */
    wait: () => Math.max(0, last + SHORTEST - performance.now()),
    /** Whether it may change now; if so, it counts as changed. */
    ready() {
      if (this.wait() > 0) return false;
      last = performance.now();
      return true;
    },
    /** Calls back once it may change, which then counts as changed; gives what takes that back. */
    soon(then) {
      let timer = 0;
      // Others may have been quicker: it asks again until it is its turn.
      const ask = () => {
        if (this.ready()) then();
        else timer = setTimeout(ask, this.wait());
      };
      timer = setTimeout(ask, this.wait());
      return () => clearTimeout(timer);
    },
    /** It has changed for another reason. */
    changed() { last = performance.now(); },
  };

  const still = matchMedia('(prefers-reduced-motion: reduce)');
  review.stillness = {
    get asked() { return still.matches; },
    listen: (then) => still.addEventListener('change', then),
  };
})(window.layfigReview);
