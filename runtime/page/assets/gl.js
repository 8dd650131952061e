// gl.js draws the folded piece with WebGL2: plates and contents from one vertex buffer,
// lines as strips from another, placed by a texture of matrices, so that folding uploads
// matrices alone. Boards that are seen through are drawn in layers from the front, each
// what is nearest behind the last ("depth peeling"), so that every one is in its order.

import { vertexBytes } from "./mesh.js";
import { lineBytes } from "./rims.js";
import * as shaders from "./shaders.js";

// Panels in a row of the texture of matrices, four texels each.
const perRow = 64;

// How many boards behind one another are drawn when they are seen through. What lies
// further in is covered by as many part by part.
const peels = 6;

// createRenderer is null where there is no WebGL2.
export function createRenderer(canvas) {
  const gl = canvas.getContext("webgl2", { alpha: false, antialias: false, depth: true, stencil: false, powerPreference: "high-performance" });
  if (!gl) return null;
  const faces = program(gl, shaders.faceVertex, shaders.faceFragment);
  const lines = program(gl, shaders.lineVertex, shaders.lineFragment);
  const cover = program(gl, shaders.coverVertex, shaders.coverFragment);
  const placements = texture(gl);
  let texels = new Float32Array(0);
  const solid = { array: gl.createVertexArray(), vertices: gl.createBuffer(), indices: gl.createBuffer(), corners: 0, faces: 0 };
  const rims = strip(gl);
  const accents = strip(gl);
  const empty = gl.createVertexArray();
  let targets = null;

  function setSolid({ bytes, indices, faces: count = indices.length }) {
    gl.bindVertexArray(solid.array);
    gl.bindBuffer(gl.ARRAY_BUFFER, solid.vertices);
    gl.bufferData(gl.ARRAY_BUFFER, bytes, gl.STATIC_DRAW);
    gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, solid.indices);
    gl.bufferData(gl.ELEMENT_ARRAY_BUFFER, indices, gl.STATIC_DRAW);
    for (let k = 0; k < 3; k++) gl.enableVertexAttribArray(k);
    gl.vertexAttribPointer(0, 3, gl.FLOAT, false, vertexBytes, 0);
    gl.vertexAttribPointer(1, 4, gl.BYTE, true, vertexBytes, 12);
    gl.vertexAttribIPointer(2, 1, gl.UNSIGNED_SHORT, vertexBytes, 16);
    gl.bindVertexArray(null);
    solid.corners = indices.length;
    solid.faces = count;
  }

  // setLines takes the bytes of lines in the order of rims.js.
  const setLines = (bytes) => fill(gl, rims, bytes, gl.STATIC_DRAW);
  const setAccents = (bytes) => fill(gl, accents, bytes, gl.DYNAMIC_DRAW);

  // setPlaces takes what each panel and each of the contents has: {matrix, shift, lit}, or
  // null where it is not there.
  function setPlaces(places) {
    const rows = Math.max(1, Math.ceil(places.length / perRow));
    if (texels.length !== rows * perRow * 16) texels = new Float32Array(rows * perRow * 16);
    places.forEach((place, i) => {
      const at = 16 * i;
      texels[at + 14] = place ? 1 : 0;
      if (!place) return;
      texels.set(place.matrix, at);
      texels[at + 12] = place.shift;
      texels[at + 13] = place.lit;
    });
    gl.bindTexture(gl.TEXTURE_2D, placements);
    gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA32F, 4 * perRow, rows, 0, gl.RGBA, gl.FLOAT, texels);
  }

  // draw draws one picture. look is {eye, clip, width, height, ratio, perPixel, apart, order,
  // nearer, thin, see, ground, tones, hatch, hatchStep, lights, accents, dark, first}: of
  // lines the first so many are drawn. Only {width, height, ratio, ground} are needed while
  // there is nothing to draw.
  function draw(look) {
    resize(look);
    gl.bindFramebuffer(gl.FRAMEBUFFER, null);
    gl.viewport(0, 0, canvas.width, canvas.height);
    gl.clearColor(...look.ground, 1);
    gl.depthMask(true);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    if (solid.corners === 0) return;
    gl.enable(gl.DEPTH_TEST);
    gl.enable(gl.CULL_FACE);
    gl.depthFunc(gl.LESS);
    gl.disable(gl.BLEND);
    if (look.see > 0) drawThrough(look);
    else drawFaces(look, 1, false);
    drawLines(look);
  }

  function drawFaces(look, alpha, peel) {
    gl.useProgram(faces.id);
    place(faces, look);
    gl.uniform3fv(faces.at.tones, look.tones);
    gl.uniform3fv(faces.at.lights, look.lights);
    gl.uniform3fv(faces.at.hatch, look.hatch);
    gl.uniform1f(faces.at.hatchStep, look.hatchStep);
    gl.uniform1f(faces.at.alpha, alpha);
    gl.uniform1f(faces.at.contentsAlpha, alpha < 1 ? 0.8 : 1);
    gl.uniform1i(faces.at.dark, look.dark ? 1 : 0);
    gl.uniform1i(faces.at.peel, peel ? 1 : 0);
    gl.uniform1i(faces.at.before, 1);
    gl.bindVertexArray(solid.array);
    gl.drawElements(gl.TRIANGLES, look.thin ? solid.faces : solid.corners, gl.UNSIGNED_INT, 0);
  }

  function place(of, look) {
    gl.activeTexture(gl.TEXTURE0);
    gl.bindTexture(gl.TEXTURE_2D, placements);
    gl.uniform1i(of.at.placements, 0);
    gl.uniformMatrix4fv(of.at.eye, false, look.eye);
    gl.uniformMatrix4fv(of.at.clip, false, look.clip);
    gl.uniform1f(of.at.apart, look.apart);
    gl.uniform1f(of.at.order, look.order);
  }

  // drawThrough draws layer by layer, each over what is in a sum behind those before, and
  // the sum over the ground.
  function drawThrough(look) {
    targets ??= makeTargets(gl, canvas.width, canvas.height);
    const sum = targets[2];
    const alpha = 1 - 0.88 * look.see;
    gl.clearColor(0, 0, 0, 0);
    gl.bindFramebuffer(gl.FRAMEBUFFER, sum.frame);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    for (let k = 0; k < peels; k++) {
      gl.bindFramebuffer(gl.FRAMEBUFFER, targets[k % 2].frame);
      gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
      gl.activeTexture(gl.TEXTURE1);
      gl.bindTexture(gl.TEXTURE_2D, targets[(k + 1) % 2].depth);
      gl.disable(gl.BLEND);
      gl.enable(gl.DEPTH_TEST);
      drawFaces(look, alpha, k > 0);
      gl.bindFramebuffer(gl.FRAMEBUFFER, sum.frame);
      drawOver(targets[k % 2].colour, gl.ONE_MINUS_DST_ALPHA, gl.ONE);
    }
    gl.bindFramebuffer(gl.FRAMEBUFFER, null);
    drawOver(sum.colour, gl.ONE, gl.ONE_MINUS_SRC_ALPHA);
    // The depth of what is nearest, for the lines.
    gl.enable(gl.DEPTH_TEST);
    gl.disable(gl.BLEND);
    gl.colorMask(false, false, false, false);
    drawFaces(look, 1, false);
    gl.colorMask(true, true, true, true);
  }

  function drawOver(layer, source, destination) {
    gl.activeTexture(gl.TEXTURE1);
    gl.bindTexture(gl.TEXTURE_2D, layer);
    gl.disable(gl.DEPTH_TEST);
    gl.enable(gl.BLEND);
    gl.blendFunc(source, destination);
    gl.useProgram(cover.id);
    gl.uniform1i(cover.at.layer, 1);
    gl.bindVertexArray(empty);
    gl.drawArrays(gl.TRIANGLES, 0, 3);
  }

  // drawLines draws what shows, then what is hidden: all of it, faint, when boards are seen
  // through, else what is pointed at or selected.
  function drawLines(look) {
    gl.enable(gl.BLEND);
    gl.blendFunc(gl.ONE, gl.ONE_MINUS_SRC_ALPHA);
    gl.disable(gl.CULL_FACE);
    gl.depthMask(false);
    gl.useProgram(lines.id);
    place(lines, look);
    gl.uniform2f(lines.at.size, canvas.width, canvas.height);
    gl.uniform1f(lines.at.perPixel, look.perPixel / look.ratio);
    gl.uniform1f(lines.at.ratio, look.ratio);
    gl.uniform4fv(lines.at.accents, look.accents);
    gl.depthFunc(gl.GREATER);
    if (look.see > 0) strips(look, rims, 1, 0.55, false, [3, 3]);
    else if (look.anyLit) strips(look, rims, 1, 0.7, true, [3, 3]);
    strips(look, accents, 2.5, 0.7, false, [5, 4]);
    gl.depthFunc(gl.LEQUAL);
    strips(look, rims, 1.25, 1, false, [0, 0]);
    strips(look, accents, 3.5, 1, false, [0, 0]);
    gl.depthMask(true);
  }

  function strips(look, of, width, fade, litOnly, dash) {
    if (of.count === 0) return;
    gl.uniform1f(lines.at.nearer, look.nearer * (of === accents ? 1.2 : 1));
    gl.uniform1f(lines.at.width, width * look.ratio);
    gl.uniform1f(lines.at.fade, fade);
    gl.uniform1i(lines.at.litOnly, litOnly ? 1 : 0);
    gl.uniform1i(lines.at.sided, of === rims ? 1 : 0);
    gl.uniform2f(lines.at.hiddenDash, dash[0] * look.ratio, dash[1] * look.ratio);
    gl.bindVertexArray(of.array);
    gl.drawElements(gl.TRIANGLES, 6 * (of === rims ? Math.min(of.count, look.first) : of.count), gl.UNSIGNED_INT, 0);
  }

  function resize({ width, height, ratio }) {
    const w = Math.max(1, Math.round(width * ratio)), h = Math.max(1, Math.round(height * ratio));
    if (canvas.width === w && canvas.height === h) return;
    canvas.width = w;
    canvas.height = h;
    targets?.forEach((t) => dropTarget(gl, t));
    targets = null;
  }

  // finish waits until programs are compiled, which a card does by itself meanwhile; it throws
  // when one will not have them.
  function finish() {
    for (const one of [faces, lines, cover]) one.at ??= uniforms(gl, one.id);
  }

  return { gl, finish, setSolid, setLines, setAccents, setPlaces, draw };
}

// program begins to compile a pair of shaders; its uniforms, `at`, are asked for later.
function program(gl, vertex, fragment) {
  const id = gl.createProgram();
  for (const [type, text] of [[gl.VERTEX_SHADER, vertex], [gl.FRAGMENT_SHADER, fragment]]) {
    const shader = gl.createShader(type);
    gl.shaderSource(shader, text);
    gl.compileShader(shader);
    gl.attachShader(id, shader);
  }
  gl.linkProgram(id);
  return { id, at: null };
}

// uniforms finds the uniforms of a program.
function uniforms(gl, id) {
  if (!gl.getProgramParameter(id, gl.LINK_STATUS) && !gl.isContextLost()) {
    const logs = gl.getAttachedShaders(id).map((s) => gl.getShaderInfoLog(s));
    throw new Error(`graphics program: ${gl.getProgramInfoLog(id)} ${logs.join(" ")}`);
  }
  const at = {};
  const count = gl.getProgramParameter(id, gl.ACTIVE_UNIFORMS) ?? 0;
  for (let k = 0; k < count; k++) {
    const { name } = gl.getActiveUniform(id, k);
    at[name.replace("[0]", "")] = gl.getUniformLocation(id, name);
  }
  return at;
}

function texture(gl) {
  const made = gl.createTexture();
  gl.bindTexture(gl.TEXTURE_2D, made);
  gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MIN_FILTER, gl.NEAREST);
  gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MAG_FILTER, gl.NEAREST);
  return made;
}

// strip makes the buffer of lines, four corners each that all hold the whole line. It does
// without instances, of which a card that is drawn by the processor makes one call each.
function strip(gl) {
  const made = { array: gl.createVertexArray(), buffer: gl.createBuffer(), indices: gl.createBuffer(), indexed: 0, count: 0 };
  gl.bindVertexArray(made.array);
  gl.bindBuffer(gl.ARRAY_BUFFER, made.buffer);
  const floats = [[0, 3, 0], [1, 3, 12], [2, 1, 24]];
  for (const [at, size, offset] of floats) gl.vertexAttribPointer(at, size, gl.FLOAT, false, lineBytes, offset);
  gl.vertexAttribPointer(3, 4, gl.UNSIGNED_BYTE, true, lineBytes, 28);
  gl.vertexAttribIPointer(4, 1, gl.UNSIGNED_SHORT, lineBytes, 32);
  gl.vertexAttribPointer(5, 2, gl.UNSIGNED_BYTE, false, lineBytes, 34);
  for (let k = 0; k < 6; k++) gl.enableVertexAttribArray(k);
  gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, made.indices);
  gl.bindVertexArray(null);
  return made;
}

// fill takes bytes of one record a line and repeats each for its four corners. Indices are
// made for as many lines as there have ever been.
function fill(gl, of, bytes, use) {
  of.count = bytes.byteLength / lineBytes;
  const words = new Uint32Array(bytes.buffer ?? bytes, bytes.byteOffset ?? 0, bytes.byteLength / 4);
  const corners = new Uint32Array(4 * words.length), step = lineBytes / 4;
  for (let k = 0; k < of.count; k++) {
    const line = words.subarray(k * step, (k + 1) * step);
    for (let c = 0; c < 4; c++) corners.set(line, (4 * k + c) * step);
  }
  gl.bindVertexArray(of.array);
  gl.bindBuffer(gl.ARRAY_BUFFER, of.buffer);
  gl.bufferData(gl.ARRAY_BUFFER, corners, use);
  if (of.indexed < of.count) {
    const indices = new Uint32Array(6 * of.count);
    for (let k = 0; k < of.count; k++) indices.set([4 * k, 4 * k + 1, 4 * k + 2, 4 * k + 2, 4 * k + 1, 4 * k + 3], 6 * k);
    gl.bufferData(gl.ELEMENT_ARRAY_BUFFER, indices, gl.STATIC_DRAW);
    of.indexed = of.count;
  }
  gl.bindVertexArray(null);
}

// makeTargets are pictures with a depth that can be read: two for layers, taken in turn, and
// one for their sum.
function makeTargets(gl, width, height) {
  return [0, 1, 2].map(() => {
    const colour = texture(gl);
    gl.texStorage2D(gl.TEXTURE_2D, 1, gl.RGBA8, width, height);
    const depth = texture(gl);
    gl.texStorage2D(gl.TEXTURE_2D, 1, gl.DEPTH_COMPONENT32F, width, height);
    const frame = gl.createFramebuffer();
    gl.bindFramebuffer(gl.FRAMEBUFFER, frame);
    gl.framebufferTexture2D(gl.FRAMEBUFFER, gl.COLOR_ATTACHMENT0, gl.TEXTURE_2D, colour, 0);
    gl.framebufferTexture2D(gl.FRAMEBUFFER, gl.DEPTH_ATTACHMENT, gl.TEXTURE_2D, depth, 0);
    return { colour, depth, frame };
  });
}

function dropTarget(gl, { colour, depth, frame }) {
  gl.deleteTexture(colour);
  gl.deleteTexture(depth);
  gl.deleteFramebuffer(frame);
}
