// What all of the page uses: elements from plain text, names that cannot disguise themselves, a guarded store.
(function () {
  'use strict';
  const review = (window.layfigReview = {});

  review.get = (id) => document.getElementById(id);

  /** An element; strings among its children become text, never markup. */
  review.el = (tag, attributes = {}, ...children) => {
    const node = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) {
      if (value !== null && value !== undefined && value !== false) node.setAttribute(name, value === true ? '' : String(value));
    }
    node.append(...children.filter((c) => c !== null && c !== undefined));
    return node;
  };

  review.sign = (name) => {
    const space = 'http://www.w3.org/2000/svg';
    const svg = document.createElementNS(space, 'svg');
    svg.setAttribute('class', 'sign');
    svg.setAttribute('aria-hidden', 'true');
    const use = document.createElementNS(space, 'use');
    use.setAttribute('href', `#sign-${name}`);
    svg.append(use);
    return svg;
  };

  // Controls, and what turns the direction of the text around it (Unicode annex 9), are shown as their numbers.
  const unseen = /[\u0000-\u001f\u007f-\u009f\u00ad\u061c\u200b\u200e\u200f\u2028-\u202e\u2060-\u2069\ufeff]/gu;
  review.plain = (text) =>
    String(text ?? '').replace(unseen, (c) => `\u27e8U+${c.codePointAt(0).toString(16).toUpperCase().padStart(4, '0')}\u27e9`);

  /** A name from a file, kept apart from the words around it. */
  review.name = (text, attributes = {}) => review.el('bdi', attributes, review.plain(text));

  review.count = (n, one, many) => `${n.toLocaleString('en')} ${n === 1 ? one : many}`;

  const prefix = 'layfig-review.';
  review.store = {
    works: true,
    read(name) {
      try {
        return localStorage.getItem(prefix + name);
      } catch {
        this.works = false;
        return null;
      }
    },
    write(name, text) {
      try {
        localStorage.setItem(prefix + name, text);
        this.works = true;
      } catch {
        this.works = false;
      }
      return this.works;
    },
  };

  /** Said to those who hear the page. */
  review.say = (text) => {
    const said = review.get('said');
    said.textContent = '';
    // A text that is the same as before is said again only when it is new to the page.
    requestAnimationFrame(() => { said.textContent = text; });
  };

  let toastTimer = 0;
  /** Told to everyone, with a way back where there is one. */
  review.tell = (text, undo) => {
    review.get('toast-text').textContent = text;
    const button = review.get('toast-undo');
    button.hidden = !undo;
    button.onclick = () => {
      review.get('toast').hidden = true;
      undo();
    };
    review.get('toast').hidden = false;
    review.say(text);
    clearTimeout(toastTimer);
    toastTimer = setTimeout(() => { review.get('toast').hidden = true; }, 8000);
  };
})();
