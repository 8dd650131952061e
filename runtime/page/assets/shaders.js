// shaders.js holds the programs that run on the graphics card, in GLSL ES 3.00. Lengths in
// mm in the frame of the panel a vertex belongs to, or of the eye: x right, y up, z toward
// it, from the middle of the picture.

// Every program that draws board places it alike. The texture has four texels a panel:
// three rows of its matrix, then how far it is moved along its normal for each mm that
// layers are drawn apart, what lights it (1 pointed at, 2 selected), and whether it is
// there at all. Layers that lie in one plane would fight for the same depth, so each is
// moved a little for its depth alone.
const placing = `#version 300 es
precision highp float;
precision highp int;
uniform highp sampler2D placements;
uniform mat4 eye, clip;
uniform float apart, order;

vec4 texel(uint panel, int k) {
  int i = int(panel);
  return texelFetch(placements, ivec2(4 * (i % 64) + k, i / 64), 0);
}

// frameOf has the columns of a panel's matrix: three axes and where its origin is.
mat4x3 frameOf(uint panel) {
  return transpose(mat3x4(texel(panel, 0), texel(panel, 1), texel(panel, 2)));
}

vec3 toEye(mat4x3 frame, vec3 p) { return (eye * vec4(frame * vec4(p, 1.0), 1.0)).xyz; }

vec3 turnToEye(mat4x3 frame, vec3 n) { return mat3(eye) * (mat3(frame) * n); }

// toClip projects p with the depth of q.
vec4 toClip(vec3 p, vec3 q) {
  vec4 at = clip * vec4(p, 1.0), deep = clip * vec4(q, 1.0);
  at.z = deep.z / deep.w * at.w;
  return at;
}
`;

export const faceVertex = `${placing}
layout(location = 0) in vec3 position;
layout(location = 1) in vec4 normalKind;
layout(location = 2) in uint panel;
out vec3 normal;
out vec2 inPanel;
flat out int kind, lit;

void main() {
  vec4 more = texel(panel, 3);
  kind = int(normalKind.w * 127.0 + 0.5);
  lit = int(more.y + 0.5);
  inPanel = position.xy;
  mat4x3 frame = frameOf(panel);
  normal = turnToEye(frame, normalKind.xyz);
  if (more.z < 0.5) {
    gl_Position = vec4(2.0, 2.0, 2.0, 1.0);
    return;
  }
  vec3 p = toEye(frame, position + vec3(0.0, 0.0, more.x * apart));
  vec3 q = p + turnToEye(frame, vec3(0.0, 0.0, more.x * order));
  gl_Position = toClip(p, q);
}
`;

// The light is the preview's: a lamp above the eye and to its left, half Lambert shading,
// so that faces turned away from it still differ. The inside is hatched by lines in its own
// plane, some pixels apart; where they get too close to tell apart, their mean is left.
export const faceFragment = `#version 300 es
precision highp float;
precision highp int;
uniform vec3 tones[4], hatch, lights[3];
uniform float hatchStep, alpha, contentsAlpha;
uniform bool peel, dark;
uniform highp sampler2D before;
in vec3 normal;
in vec2 inPanel;
flat in int kind, lit;
out vec4 colour;

void main() {
  if (peel && gl_FragCoord.z <= texelFetch(before, ivec2(gl_FragCoord.xy), 0).r + 2e-7) discard;
  vec3 tone = tones[kind];
  if (kind == 1) {
    float along = (inPanel.x + inPanel.y) / (1.41421356 * hatchStep);
    float wide = fwidth(along);
    float away = abs(fract(along) - 0.5);
    float line = 1.0 - smoothstep(0.5 * wide, 1.5 * wide, away);
    tone = mix(tone, hatch, 0.55 * mix(line, 0.2, smoothstep(0.2, 0.45, wide)));
  }
  if (lit > 0) tone = mix(tone, lights[lit], kind == 1 ? 0.6 : 0.8);
  float lamp = 0.5 + 0.5 * dot(normalize(normal), normalize(vec3(-0.35, 0.75, 0.56)));
  tone *= dark ? mix(0.62, 1.2, lamp) : mix(0.72, 1.02, lamp);
  float a = kind == 3 ? contentsAlpha : alpha;
  colour = vec4(min(tone, vec3(1.0)) * a, a);
}
`;

// A line is a strip of two triangles from a to b in the panel's frame; which of the four
// corners a vertex is follows from its number. Its depth is that of its panel's plane under the side that has board, a
// little nearer the eye, by less than a board is thick: it lies on its own face, and not on
// the one before it.
export const lineVertex = `${placing}
layout(location = 0) in vec3 a;
layout(location = 1) in vec3 b;
layout(location = 2) in float phase;
layout(location = 3) in vec4 tint;
layout(location = 4) in uint panelSide;
layout(location = 5) in vec2 dashes;
uniform vec2 size;
uniform float width, nearer, perPixel, ratio;
uniform bool litOnly, sided;
uniform vec4 accents[3];
out vec4 colour;
out float across, along;
flat out vec2 dash;
flat out float edge;

void main() {
  uint panel = panelSide & 0x7fffu;
  vec4 more = texel(panel, 3);
  int lit = int(more.y + 0.5);
  gl_Position = vec4(2.0, 2.0, 2.0, 1.0);
  if (more.z < 0.5 || (litOnly && lit == 0)) return;
  mat4x3 frame = frameOf(panel);
  vec3 shift = vec3(0.0, 0.0, more.x * apart);
  vec3 pa = toEye(frame, a + shift), pb = toEye(frame, b + shift);
  vec4 ca = clip * vec4(pa, 1.0), cb = clip * vec4(pb, 1.0);
  if (ca.w <= 0.0 || cb.w <= 0.0) return;
  vec2 way = (cb.xy / cb.w - ca.xy / ca.w) * size;
  float far = length(way);
  way = far > 0.0 ? way / far : vec2(1.0, 0.0);
  bool end = (gl_VertexID & 1) == 1;
  float s = (gl_VertexID & 2) == 0 ? -1.0 : 1.0;
  edge = (width + (lit > 0 ? 1.0 : 0.0)) * 0.5;
  across = s * (edge + 1.0);
  along = (phase + (end ? distance(a, b) : 0.0)) / perPixel;
  dash = dashes * ratio;
  colour = lit > 0 && !litOnly ? mix(tint, vec4(accents[lit].rgb, tint.a), accents[lit].a) : tint;
  vec2 off = vec2(-way.y, way.x) * across + way * (end ? 0.5 : -0.5) * edge;
  vec3 n = turnToEye(frame, vec3(0.0, 0.0, 1.0));
  float facing = n.z < 0.0 ? min(n.z, -0.1) : max(n.z, 0.1);
  float rise = -dot(n.xy, off) / facing * perPixel;
  bool onBoard = (across > 0.0) == (n.z > 0.0) == ((panelSide & 0x8000u) == 0u);
  if (sided && !onBoard) rise = min(rise, 0.0);
  if (!sided) rise = clamp(rise, -2.0, 2.0);
  vec3 deep = n * (more.x * order) + vec3(0.0, 0.0, nearer + rise);
  vec4 at = end ? toClip(pb, pb + deep) : toClip(pa, pa + deep);
  at.xy += off * 2.0 / size * at.w;
  gl_Position = at;
}
`;

export const lineFragment = `#version 300 es
precision highp float;
uniform float fade;
uniform vec2 hiddenDash;
in vec4 colour;
in float across, along;
flat in vec2 dash;
flat in float edge;
out vec4 made;

float dashed(vec2 d) {
  if (d.y <= 0.0) return 1.0;
  float t = mod(along, d.x + d.y);
  float soft = max(fwidth(along), 0.001);
  return clamp(min(t, d.x - t) / soft + 0.5, 0.0, 1.0);
}

void main() {
  float a = clamp(edge + 0.5 - abs(across), 0.0, 1.0) * colour.a * fade;
  a *= hiddenDash.y > 0.0 ? dashed(hiddenDash) : dashed(dash);
  made = vec4(colour.rgb * a, a);
}
`;

export const coverVertex = `#version 300 es
void main() {
  gl_Position = vec4(vec2(gl_VertexID == 1 ? 3.0 : -1.0, gl_VertexID == 2 ? 3.0 : -1.0), 0.0, 1.0);
}
`;

export const coverFragment = `#version 300 es
precision highp float;
uniform highp sampler2D layer;
out vec4 made;
void main() {
  made = texelFetch(layer, ivec2(gl_FragCoord.xy), 0);
}
`;
