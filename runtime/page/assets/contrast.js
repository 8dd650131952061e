// contrast.js makes a line's colour stand out from what it lies on. Colours are sRGB.

// leastContrast is that of graphics that must be seen: WCAG 2.1, success criterion 1.4.11.
const leastContrast = 3;

// standOut is a colour as #rrggbb, mixed with white or black, whichever is further from
// the ground, just so much that it has the least contrast to the ground.
export function standOut(colour, ground) {
  const c = parse(colour), g = parse(ground);
  if (!c || !g) return colour;
  const end = luminance(g) > 0.18 ? [0, 0, 0] : [255, 255, 255];
  for (let share = 0; share <= 1; share += 0.05) {
    const mixed = c.map((v, i) => Math.round(v + (end[i] - v) * share));
    if (contrast(mixed, g) >= leastContrast) return `#${mixed.map((v) => v.toString(16).padStart(2, "0")).join("")}`;
  }
  return luminance(g) > 0.18 ? "#000000" : "#ffffff";
}

function parse(text) {
  const hex = /^#([0-9a-f]{6})$/i.exec(text.trim());
  return hex && [0, 2, 4].map((i) => parseInt(hex[1].slice(i, i + 2), 16));
}

// contrast and luminance are WCAG 2.1's definitions.
function contrast(a, b) {
  const [hi, lo] = [luminance(a), luminance(b)].sort((x, y) => y - x);
  return (hi + 0.05) / (lo + 0.05);
}

function luminance(c) {
  const [r, g, b] = c.map((v) => (v / 255 <= 0.04045 ? v / 255 / 12.92 : ((v / 255 + 0.055) / 1.055) ** 2.4));
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}
