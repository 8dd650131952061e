// viewport.js says where the blank lies on the screen: the spot of the blank at the
// middle, in mm, and how many CSS pixels a millimetre is. Blank y runs up, screen y down;
// a blank seen from the inside is mirrored left to right, as its cut files are.

// The greatest scale shows the last digit that a cut file has, 0.001 mm, as a fifth of a
// pixel; the least is a share of the scale at which the whole blank fits.
const greatestScale = 200;
const leastShare = 0.2;

// fitMargin is what stays free round a blank that fits, in pixels: above for the caption,
// elsewhere for letters that stand on its rim.
const fitMargin = { top: 28, bottom: 14, side: 16 };

// A blank is slender that is narrower than so many pixels when it fits; zoomed to its width that
// takes so much of the sheet.
const slenderPixels = 40;
const acrossShare = 0.6;

export function createViewport() {
  const v = { x: 0, y: 0, scale: 1, width: 1, height: 1, bounds: [0, 0, 1, 1], mirrored: false };
  const side = () => (v.mirrored ? -1 : 1);

  const fitScale = () => {
    const [x0, y0, x1, y1] = v.bounds;
    const room = [v.width - 2 * fitMargin.side, v.height - fitMargin.top - fitMargin.bottom];
    return Math.max(1e-3, Math.min(room[0] / Math.max(x1 - x0, 1e-3), room[1] / Math.max(y1 - y0, 1e-3)));
  };

  return Object.assign(v, {
    fitScale,
    toScreen: ([x, y]) => [v.width / 2 + side() * (x - v.x) * v.scale, v.height / 2 - (y - v.y) * v.scale],
    toBlank: ([x, y]) => [v.x + side() * (x - v.width / 2) / v.scale, v.y - (y - v.height / 2) / v.scale],

    // matrix takes blank to screen, in the order of an SVG matrix.
    matrix() {
      const [e, f] = v.toScreen([0, 0]);
      return [side() * v.scale, 0, 0, -v.scale, e, f];
    },

    fit() {
      const [x0, y0, x1, y1] = v.bounds;
      v.x = (x0 + x1) / 2;
      v.scale = fitScale();
      v.y = (y0 + y1) / 2 + (fitMargin.top - fitMargin.bottom) / 2 / v.scale;
    },

    // slender reports whether a blank that fits is too slender for its lines to be told apart.
    slender() {
      const [x0, y0, x1, y1] = v.bounds;
      return Math.min(x1 - x0, y1 - y0) * fitScale() < slenderPixels;
    },

    // fitAcross shows the narrow side of the blank, at one end of the long one.
    fitAcross() {
      const [x0, y0, x1, y1] = v.bounds;
      const wide = x1 - x0 > y1 - y0;
      const across = Math.max(1e-3, wide ? y1 - y0 : x1 - x0);
      v.scale = Math.min(greatestScale, acrossShare * (wide ? v.height : v.width) / across);
      const reach = (side, from, to) => Math.min((from + to) / 2, from + (side / 2 - fitMargin.side) / v.scale);
      v.x = wide ? reach(v.width, x0, x1) : (x0 + x1) / 2;
      v.y = wide ? (y0 + y1) / 2 : y1 - reach(v.height, 0, y1 - y0);
    },

    panBy(dx, dy) {
      v.x -= side() * dx / v.scale;
      v.y += dy / v.scale;
      v.clamp();
    },

    // zoomAt scales by a factor and leaves the blank's spot under a screen point there.
    zoomAt(factor, [px, py]) {
      const [x, y] = v.toBlank([px, py]);
      v.scale = Math.min(greatestScale, Math.max(leastShare * fitScale(), v.scale * factor));
      v.x = x - side() * (px - v.width / 2) / v.scale;
      v.y = y + (py - v.height / 2) / v.scale;
      v.clamp();
    },

    // clamp keeps the middle of the screen within the blank's box, so it is never lost.
    clamp() {
      const [x0, y0, x1, y1] = v.bounds;
      v.x = Math.min(x1, Math.max(x0, v.x));
      v.y = Math.min(y1, Math.max(y0, v.y));
    },

    // shows reports whether a blank point lies on the screen, with a margin in pixels.
    shows(p, margin = 12) {
      const [x, y] = v.toScreen(p);
      return x >= margin && y >= margin && x <= v.width - margin && y <= v.height - margin;
    },
  });
}
