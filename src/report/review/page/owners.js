// Which part owns a pixel: maps are scripts that come when a pose is opened, runs of one owner in base64.
(function (review) {
  'use strict';
  const KEPT = 6;
  const maps = new Map();
  const waiting = new Map();

  // Scripts come from this page's own folder and from nowhere else.
  const make = (number) => `owners/${String(number).padStart(4, '0')}.js`;
  const policy = window.trustedTypes?.createPolicy('layfig-review', {
    createScriptURL(path) {
      if (!/^owners\/\d{4,}\.js$/.test(path)) throw new TypeError(`not a map of this page: ${path}`);
      return path;
    },
  }) ?? { createScriptURL: (path) => path };

  function decoded(map) {
    if (!map) return null;
    const { width, height, parts } = map;
    const bytes = atob(map.runs);
    const owners = new Uint16Array(width * height);
    let at = 0;
    const number = () => {
      let n = 0;
      for (let shift = 0; ; shift += 7) {
        const byte = bytes.charCodeAt(at);
        at += 1;
        n |= (byte & 0x7f) << shift;
        if (!(byte & 0x80)) return n;
      }
    };
    for (let pixel = 0; at < bytes.length;) {
      const owner = number();
      const length = number();
      if (owner > 0) owners.fill(owner, pixel, pixel + length);
      pixel += length;
    }
    return {
      width,
      height,
      owners,
      parts,
      /** The name of the part at a pixel, or null where there is none. */
      at(x, y) {
        if (x < 0 || y < 0 || x >= width || y >= height) return null;
        const owner = owners[Math.floor(y) * width + Math.floor(x)];
        return owner ? parts[owner - 1] ?? null : null;
      },
    };
  }

  review.owners = {
    /** Called by the scripts. */
    take(number, { before, after }) {
      const pair = { before: decoded(before), after: decoded(after) };
      maps.set(number, pair);
      while (maps.size > KEPT) maps.delete(maps.keys().next().value);
      waiting.get(number)?.(pair);
      waiting.delete(number);
    },
    /** The maps of a pose, both null where there are none. */
    of(entry) {
      const none = { before: null, after: null };
      if (!entry.owners) return Promise.resolve(none);
      if (maps.has(entry.number)) return Promise.resolve(maps.get(entry.number));
      return new Promise((done) => {
        waiting.set(entry.number, done);
        const script = document.createElement('script');
        script.src = policy.createScriptURL(make(entry.number));
        script.onload = () => script.remove();
        script.onerror = () => {
          script.remove();
          waiting.delete(entry.number);
          done(none);
        };
        document.head.append(script);
      });
    },
    /** Draws a part's pixels in one colour on a canvas of the map's size. */
    paint(canvas, map, part, [r, g, b, a]) {
      canvas.width = map.width;
      canvas.height = map.height;
      const owner = map.parts.indexOf(part) + 1;
      if (owner === 0) return false;
      const context = canvas.getContext('2d');
      const image = context.createImageData(map.width, map.height);
      const pixels = new Uint32Array(image.data.buffer);
      const colour = new Uint32Array(new Uint8Array([r, g, b, a]).buffer)[0];
      let any = false;
      for (let i = 0; i < pixels.length; i += 1) {
        if (map.owners[i] === owner) {
          pixels[i] = colour;
          any = true;
        }
      }
      context.putImageData(image, 0, 0);
      return any;
    },
  };
})(window.layfigReview);
