// Package solidtest reads GLB and STL files strictly, by no code that writes them, and has
// other programs read them. It is for tests.
package solidtest

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// GLB is what a file holds. Lengths are metres, times seconds.
type GLB struct {
	Name       string // of the scene
	Generator  string
	Nodes      []Node // the first is the only root
	Materials  []string
	Animations []Animation
}

// Node is one node: at rest its children's frame leads by T, R and S, in that order from
// the right, into its own parent's.
type Node struct {
	Name        string
	Parent      int // −1 for the root
	Translation geom.Point3
	Rotation    [4]float64
	Scale       geom.Point3
	Mesh        []Primitive // nil for none
}

// Primitive is triangles of one material.
type Primitive struct {
	Material  int
	Positions []geom.Point3
	Normals   []geom.Point3
	Triangles [][3]int
}

// Animation is channels of keys.
type Animation struct {
	Name     string
	Channels []Channel
}

// Channel is what moves one property of a node. Values have four numbers a key for
// "rotation", else three.
type Channel struct {
	Node   int
	Path   string
	Step   bool // between keys the earlier one holds
	Times  []float64
	Values [][]float64
}

// file is the JSON as it is written. Whatever else it held would be an error.
type file struct {
	Asset  struct{ Version, Generator string }
	Scene  int
	Scenes []struct {
		Name  string
		Nodes []int
	}
	Nodes []struct {
		Name        string
		Mesh        *int
		Translation *[3]float64
		Rotation    *[4]float64
		Children    []int
	}
	Meshes []struct {
		Name       string
		Primitives []struct {
			Attributes        struct{ POSITION, NORMAL int }
			Indices, Material int
		}
	}
	Materials []struct {
		Name                 string
		PbrMetallicRoughness struct {
			BaseColorFactor                 [4]float64
			MetallicFactor, RoughnessFactor float64
		}
	}
	Animations []struct {
		Name     string
		Channels []struct {
			Sampler int
			Target  struct {
				Node int
				Path string
			}
		}
		Samplers []struct {
			Input, Output int
			Interpolation string
		}
	}
	Accessors []struct {
		BufferView, ComponentType, Count int
		Type                             string
		Min, Max                         []float64
	}
	BufferViews []struct{ Buffer, ByteOffset, ByteLength, Target int }
	Buffers     []struct{ ByteLength int }
}

// reader is a file with its binary chunk. The first fault found ends it by a panic that
// ReadGLB takes up.
type reader struct {
	file
	data []byte
}

// fault is what is wrong with a file.
type fault struct{ error }

// must ends reading unless something holds.
func must(holds bool, format string, args ...any) {
	if !holds {
		panic(fault{fmt.Errorf(format, args...)})
	}
}

// ReadGLB reads a file. It holds it to the layout of GLB, to the bounds that accessors give and to what the
// specification asks of indices, times, rotations and alignment.
func ReadGLB(data []byte) (out *GLB, err error) {
	defer func() {
		if r := recover(); r != nil {
			f, ok := r.(fault)
			if !ok {
				panic(r)
			}
			out, err = nil, f.error
		}
	}()
	return newReader(data).glb(), nil
}

// newReader takes the chunks apart.
func newReader(data []byte) *reader {
	word := func(at int) int {
		must(at+4 <= len(data), "it ends at byte %d", len(data))
		return int(binary.LittleEndian.Uint32(data[at:]))
	}
	must(bytes.HasPrefix(data, []byte("glTF")) && word(4) == 2, "it is no GLB of version 2")
	must(word(8) == len(data), "its length is given as %d and is %d", word(8), len(data))
	text := word(12)
	must(text%4 == 0 && 20+text <= len(data), "its first chunk has %d bytes", text)
	must(string(data[16:20]) == "JSON", "its first chunk is %q", data[16:20])
	r := &reader{}
	decoder := json.NewDecoder(bytes.NewReader(data[20 : 20+text]))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(&r.file); err != nil {
		panic(fault{err})
	}
	must(len(bytes.Trim(data[20+int(decoder.InputOffset()):20+text], " ")) == 0, "its JSON is padded with more than spaces")
	if at := 20 + text; at < len(data) {
		must(string(data[at+4:at+8]) == "BIN\x00", "its second chunk is %q", data[at+4:at+8])
		r.data = data[at+8:]
		must(len(r.Buffers) == 1 && len(r.data) == word(at) && len(r.data) == r.Buffers[0].ByteLength, "its buffer has %d bytes", len(r.data))
	}
	return r
}

func (r *reader) glb() *GLB {
	must(r.Asset.Version == "2.0" && r.Scene == 0 && len(r.Scenes) == 1 && slices.Equal(r.Scenes[0].Nodes, []int{0}), "its scene is %v", r.Scenes)
	out := &GLB{Name: r.Scenes[0].Name, Generator: r.Asset.Generator}
	for _, m := range r.Materials {
		out.Materials = append(out.Materials, m.Name)
	}
	parents := slices.Repeat([]int{-1}, len(r.Nodes))
	for i, n := range r.Nodes {
		for _, c := range n.Children {
			must(c > i && c < len(parents) && parents[c] < 0, "node %d is a child of %d", c, i)
			parents[c] = i
		}
	}
	for i, n := range r.Nodes {
		must(i == 0 || parents[i] >= 0, "node %d stands in no scene", i)
		node := Node{Name: n.Name, Parent: parents[i], Rotation: [4]float64{3: 1}, Scale: geom.Point3{X: 1, Y: 1, Z: 1}}
		if n.Translation != nil {
			node.Translation = point(n.Translation[:])
		}
		if n.Rotation != nil {
			node.Rotation = *n.Rotation
			unit(node.Rotation[:])
		}
		if n.Mesh != nil {
			node.Mesh = r.mesh(*n.Mesh)
		}
		out.Nodes = append(out.Nodes, node)
	}
	for i := range r.Animations {
		out.Animations = append(out.Animations, r.animation(i))
	}
	return out
}

// unit asks that a quaternion has length 1 to what float32 keeps.
func unit(q []float64) {
	sum := 0.0
	for _, v := range q {
		sum += v * v
	}
	must(math.Abs(sum-1) < 1e-6, "the rotation %v has length %v", q, math.Sqrt(sum))
}

func point(v []float64) geom.Point3 { return geom.Point3{X: v[0], Y: v[1], Z: v[2]} }

// mesh reads a mesh.
func (r *reader) mesh(i int) (out []Primitive) {
	for _, p := range r.Meshes[i].Primitives {
		prim := Primitive{Material: p.Material}
		must(p.Material < len(r.Materials), "there is no material %d", p.Material)
		must(len(r.Accessors[p.Attributes.POSITION].Min) == 3, "positions have no bounds")
		for _, v := range r.tuples(p.Attributes.POSITION, "VEC3", 34962) {
			prim.Positions = append(prim.Positions, point(v))
		}
		for _, v := range r.tuples(p.Attributes.NORMAL, "VEC3", 34962) {
			unit(v)
			prim.Normals = append(prim.Normals, point(v))
		}
		must(len(prim.Normals) == len(prim.Positions), "%d normals of %d corners", len(prim.Normals), len(prim.Positions))
		indices := r.tuples(p.Indices, "SCALAR", 34963)
		must(len(indices)%3 == 0, "%d corners of triangles", len(indices))
		for k := 0; k < len(indices); k += 3 {
			var t [3]int
			for c := range t {
				t[c] = int(indices[k+c][0])
				must(t[c] < len(prim.Positions), "there is no corner %d", t[c])
			}
			prim.Triangles = append(prim.Triangles, t)
		}
		out = append(out, prim)
	}
	return out
}

// animation reads an animation.
func (r *reader) animation(i int) Animation {
	a := r.Animations[i]
	out := Animation{Name: a.Name}
	for _, c := range a.Channels {
		s := a.Samplers[c.Sampler]
		channel := Channel{Node: c.Target.Node, Path: c.Target.Path, Step: s.Interpolation == "STEP"}
		must(channel.Node < len(r.Nodes), "there is no node %d", channel.Node)
		kind := map[string]string{"rotation": "VEC4", "scale": "VEC3"}[channel.Path]
		must(kind != "", "a channel moves %q", channel.Path)
		must(len(r.Accessors[s.Input].Min) == 1, "times have no bounds")
		for k, v := range r.tuples(s.Input, "SCALAR", 0) {
			must(k == 0 && v[0] >= 0 || k > 0 && v[0] > channel.Times[k-1], "time %d is %v", k, v)
			channel.Times = append(channel.Times, v[0])
		}
		channel.Values = r.tuples(s.Output, kind, 0)
		must(len(channel.Values) == len(channel.Times), "%d values at %d times", len(channel.Values), len(channel.Times))
		for _, v := range channel.Values {
			if channel.Path == "rotation" {
				unit(v)
			}
		}
		out.Channels = append(out.Channels, channel)
	}
	return out
}

// tuples reads an accessor and holds it to its bounds, which must be taken on.
func (r *reader) tuples(i int, kind string, target int) [][]float64 {
	must(i < len(r.Accessors), "there is no accessor %d", i)
	a := r.Accessors[i]
	must(a.Type == kind && a.BufferView < len(r.BufferViews), "accessor %d is of %q", i, a.Type)
	v := r.BufferViews[a.BufferView]
	must(v.Target == target && v.Buffer == 0 && v.ByteOffset%4 == 0, "buffer view %d is %v", a.BufferView, v)
	width, size := map[string]int{"SCALAR": 1, "VEC3": 3, "VEC4": 4}[kind], 4
	if a.ComponentType == 5123 {
		size = 2
	}
	must(v.ByteLength == a.Count*width*size && v.ByteOffset+v.ByteLength <= len(r.data), "accessor %d has %d bytes", i, v.ByteLength)
	data := r.data[v.ByteOffset : v.ByteOffset+v.ByteLength]
	out := make([][]float64, a.Count)
	for k := range out {
		for range width {
			var x float64
			switch a.ComponentType {
			case 5123:
				x = float64(binary.LittleEndian.Uint16(data))
				must(x < math.MaxUint16, "index 65535 is not to be used")
			case 5125:
				x = float64(binary.LittleEndian.Uint32(data))
			case 5126:
				x = float64(math.Float32frombits(binary.LittleEndian.Uint32(data)))
				must(!math.IsNaN(x) && !math.IsInf(x, 0), "accessor %d holds %v", i, x)
			default:
				must(false, "accessor %d is of component type %d", i, a.ComponentType)
			}
			data = data[size:]
			out[k] = append(out[k], x)
		}
	}
	if a.Min != nil {
		low, high := slices.Clone(out[0]), slices.Clone(out[0])
		for _, t := range out {
			for c, x := range t {
				low[c], high[c] = min(low[c], x), max(high[c], x)
			}
		}
		must(slices.Equal(narrow(low), narrow(a.Min)) && slices.Equal(narrow(high), narrow(a.Max)), "accessor %d: bounds %v, %v and values from %v to %v", i, a.Min, a.Max, low, high)
	}
	return out
}

// narrow is numbers as float32 has them.
func narrow(v []float64) (out []float32) {
	for _, x := range v {
		out = append(out, float32(x))
	}
	return out
}
