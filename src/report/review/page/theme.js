// Light or dark, before anything is painted: the reader's choice if there is one, else the system's.
(function () {
  'use strict';
  const system = matchMedia('(prefers-color-scheme: dark)');
  let chosen = null;
  try {
    chosen = localStorage.getItem('layfig-review.theme');
  } catch { /* A page without a store still has the system's. */ }
  function apply() {
    document.documentElement.dataset.theme = chosen === 'light' || chosen === 'dark' ? chosen : system.matches ? 'dark' : 'light';
    document.dispatchEvent(new Event('layfig-theme'));
  }
  window.layfigTheme = {
    get now() { return document.documentElement.dataset.theme; },
    toggle() {
      chosen = this.now === 'dark' ? 'light' : 'dark';
      try {
        localStorage.setItem('layfig-review.theme', chosen);
      } catch { /* Kept for this page only. */ }
      apply();
    },
  };
  system.addEventListener('change', apply);
  apply();
})();
