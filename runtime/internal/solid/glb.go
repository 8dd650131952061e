package solid

import (
	"context"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/simulate"
)

// Times of an animation, seconds: from flat to the pose, then at rest in it before a viewer
// begins anew.
const (
	foldTime = 3
	restTime = 1
)

// metre is how many metres a millimetre has.
const metre = 1e-3

// finishes are the colours of board and of products, sRGB: outside, inside and rim by
// the kind of board. Common looks of such stock, no source; that of card is the drawing sheet's.
var finishes = map[board.Kind][3]uint32{
	board.Paper:      {0xF7F5EF, 0xE9E5DB, 0xEFECE4},
	board.Card:       {0xF3EDE1, 0xD3B88C, 0xDDCBAA},
	board.Coated:     {0xFAFAF8, 0xC9C2B4, 0xDAD5CA},
	board.Greyboard:  {0xA8A49B, 0x98948B, 0x8C887F},
	board.Corrugated: {0xC79E70, 0xB98D5C, 0x9E7546},
}

// productFinish is the colour of products on the drawing sheet.
const productFinish = 0xDCE6EE

// GLB is a piece as binary glTF 2.0, in metres with y up and the front toward z. Every hinge is a
// node whose origin lies in the middle of the crease, on the line about which it turns, and
// whose rotation folds it: it is a child of its parent panel's node and has its child
// panel's node under it, which keeps the panel's own frame. Names are those of the script.
//
// At rest the piece is closed, since that is what people want who see it in a list or in
// a viewer that plays nothing. There is an animation for every pose, "closed" first, that
// leads from flat to it in three seconds and stays for one; its keys are solved states (see
// assembly.way). Products appear when the pose is reached.
//
// Left out are panels without a place in the closed pose and all that hangs on them, and
// poses in which another panel has none. Hinges that close loops are no nodes. The error is the
// cause of the context's end.
func GLB(ctx context.Context, d *model.Design, p *simulate.Piece) ([]byte, error) {
	a, err := assemble(ctx, d, p)
	if err != nil {
		return nil, err
	}
	w := writer{assembly: a, materials: map[surface]int{}}
	w.Asset = gltfAsset{"2.0", "Creasewright"}
	w.Scenes = []gltfScene{{p.Piece.Name, []int{0}}}
	w.nodes()
	for i, s := range a.poses {
		keys, err := a.way(ctx, s)
		if err != nil {
			return nil, err
		}
		w.animate(i, keys)
	}
	return w.bytes()
}

// writer writes an assembly.
type writer struct {
	*assembly
	encoder
	hinges    []int // nodes, by link; −1 for the root
	panels    []int // likewise
	products  []int // by content
	materials map[surface]int
}

// nodes lists the standing piece, its hinges and panels, parents first, and its products.
func (w *writer) nodes() {
	w.node(-1, w.piece.Piece.Name, w.stand)
	for i := range w.links {
		l := &w.links[i]
		parent, lay, hinge := 0, l.lay, -1
		if l.parent >= 0 {
			fold := geom.RigidTransform{R: geom.Identity3().R, T: l.at}
			hinge = w.node(w.panels[l.parent], w.piece.Piece.Hinges[l.hinge].Name, fold)
			if q := rounded4(about(l.axis, w.rest[i])); q != unturned {
				w.Nodes[hinge].Rotation = &q
			}
			parent, lay.T = hinge, lay.T.Sub(l.at)
		}
		name := w.piece.Piece.Panels[l.panel].Name
		w.hinges = append(w.hinges, hinge)
		w.panels = append(w.panels, w.node(parent, name, lay))
		w.mesh(w.panels[i], name, l.board)
	}
	for _, c := range w.contents {
		n := w.node(w.panels[c.on], c.name, c.frame)
		w.mesh(n, c.name, c.body)
		w.products = append(w.products, n)
	}
}

// unturned is the rotation by nothing.
var unturned = [4]float32{3: 1}

// node adds a node under another, −1 for none, and gives its number.
func (w *writer) node(parent int, name string, m geom.RigidTransform) int {
	n := gltfNode{Name: name}
	if at := rounded(m.T.Mul(metre)); at != (corner32{}) {
		n.Translation = (*[3]float32)(&at)
	}
	if q := rounded4(rotationOf(m)); q != unturned {
		n.Rotation = &q
	}
	w.Nodes = append(w.Nodes, n)
	k := len(w.Nodes) - 1
	if parent >= 0 {
		w.Nodes[parent].Children = append(w.Nodes[parent].Children, k)
	}
	return k
}

// mesh gives a node a body, if there is any.
func (w *writer) mesh(node int, name string, b body) {
	if len(b) == 0 {
		return
	}
	m := gltfMesh{Name: name}
	for _, part := range b {
		var at, normals []float32
		for k, c := range part.corners {
			at = append(at, corner(c.Mul(metre))...)
			normals = append(normals, corner(part.normals[k])...)
		}
		m.Primitives = append(m.Primitives, gltfPrimitive{
			Attributes: gltfAttributes{w.numbers(at, 3, arrayBuffer, true), w.numbers(normals, 3, arrayBuffer, false)},
			Indices:    w.indices(part.triangles, len(part.corners)),
			Material:   w.material(part.of),
		})
	}
	w.Meshes = append(w.Meshes, m)
	k := len(w.Meshes) - 1
	w.Nodes[node].Mesh = &k
}

// corner is a place as the three numbers of a file.
func corner(p geom.Point3) []float32 { c := rounded(p); return c[:] }

// rounded4 is a rotation as the four numbers of a file.
func rounded4(q quaternion) (out [4]float32) {
	for i, v := range q {
		out[i] = float32(v) + 0
	}
	return out
}

// material is the number of a surface's material, which is added when it is first asked for.
func (w *writer) material(s surface) int {
	if k, ok := w.materials[s]; ok {
		return k
	}
	b := w.piece.Piece.Board
	name, colour := b.Name, uint32(productFinish)
	if s == product {
		name = "contents"
	} else {
		name += [...]string{" outside", " inside", " edge"}[s]
		colour = finishes[b.Kind][s]
	}
	m := gltfMaterial{name, gltfFinish{BaseColour: linear(colour), Roughness: 0.9}}
	w.Materials = append(w.Materials, m)
	w.materials[s] = len(w.Materials) - 1
	return w.materials[s]
}

// linear is an opaque colour 0xRRGGBB as shares of light (IEC 61966-2-1, value from memory), to a
// thousandth: half a step of eight bits.
func linear(rgb uint32) [4]float32 {
	out := [4]float32{3: 1}
	for i := range 3 {
		c := float64(rgb>>(16-8*i)&0xFF) / 255
		if c <= 0.04045 {
			c /= 12.92
		} else {
			c = math.Pow((c+0.055)/1.055, 2.4)
		}
		out[i] = float32(math.Round(c*1000) / 1000)
	}
	return out
}

// animate adds the animation of a pose, unless nothing moves in it.
func (w *writer) animate(pose int, keys []key) {
	a := gltfAnimation{Name: w.poses[pose].Pose.Name}
	add := func(s gltfSampler, node int, path string) {
		a.Samplers = append(a.Samplers, s)
		a.Channels = append(a.Channels, gltfChannel{len(a.Samplers) - 1, gltfTarget{node, path}})
	}
	input := -1
	for i := range w.links {
		if w.hinges[i] < 0 || !slices.ContainsFunc(keys, func(k key) bool { return k.angles[i] != w.rest[i] }) {
			continue
		}
		if input < 0 {
			input = w.times(keys)
		}
		add(gltfSampler{Input: input, Output: w.rotations(i, keys)}, w.hinges[i], "rotation")
	}
	if input < 0 {
		return
	}
	for i := range w.contents {
		add(w.appearance(w.contents[i].in[pose]), w.products[i], "scale")
	}
	w.Animations = append(w.Animations, a)
}

// times are those of keys and of the end.
func (w *writer) times(keys []key) int {
	var out []float32
	for _, k := range keys {
		out = append(out, float32(k.share*foldTime))
	}
	return w.numbers(append(out, foldTime+restTime), 1, 0, true)
}

// rotations are those of a link's hinge at keys, the last once more for the end.
func (w *writer) rotations(i int, keys []key) int {
	var out []float32
	for _, k := range append(slices.Clone(keys), keys[len(keys)-1]) {
		q := rounded4(about(w.links[i].axis, k.angles[i]))
		out = append(out, q[:]...)
	}
	return w.numbers(out, 4, 0, false)
}

// appearance is the scale of a product: nothing on the way and, if it stands in the pose, all of it there.
func (w *writer) appearance(stands bool) gltfSampler {
	size := make([]float32, 6)
	if stands {
		size[3], size[4], size[5] = 1, 1, 1
	}
	return gltfSampler{Input: w.numbers([]float32{0, foldTime}, 1, 0, true), Interpolation: "STEP", Output: w.numbers(size, 3, 0, false)}
}
