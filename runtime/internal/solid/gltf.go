package solid

import (
	"encoding/binary"
	"encoding/json"
	"math"
)

// What glTF 2.0 (Khronos, 2.0.1, 2021) calls things, as far as it is written here. Numbers are
// float32, in metres and seconds, which encoding/json writes with as few digits as bring
// them back; what is optional and empty is left out.
type (
	gltfFile struct {
		Asset       gltfAsset       `json:"asset"`
		Scene       int             `json:"scene"`
		Scenes      []gltfScene     `json:"scenes"`
		Nodes       []gltfNode      `json:"nodes"`
		Meshes      []gltfMesh      `json:"meshes,omitempty"`
		Materials   []gltfMaterial  `json:"materials,omitempty"`
		Animations  []gltfAnimation `json:"animations,omitempty"`
		Accessors   []gltfAccessor  `json:"accessors,omitempty"`
		BufferViews []gltfView      `json:"bufferViews,omitempty"`
		Buffers     []gltfBuffer    `json:"buffers,omitempty"`
	}
	gltfAsset struct {
		Version   string `json:"version"`
		Generator string `json:"generator"`
	}
	gltfScene struct {
		Name  string `json:"name"`
		Nodes []int  `json:"nodes"`
	}
	gltfNode struct {
		Name        string      `json:"name"`
		Mesh        *int        `json:"mesh,omitempty"`
		Translation *[3]float32 `json:"translation,omitempty"`
		Rotation    *[4]float32 `json:"rotation,omitempty"`
		Children    []int       `json:"children,omitempty"`
	}
	gltfMesh struct {
		Name       string          `json:"name"`
		Primitives []gltfPrimitive `json:"primitives"`
	}
	gltfPrimitive struct {
		Attributes gltfAttributes `json:"attributes"`
		Indices    int            `json:"indices"`
		Material   int            `json:"material"`
	}
	gltfAttributes struct {
		Position int `json:"POSITION"`
		Normal   int `json:"NORMAL"`
	}
	gltfMaterial struct {
		Name   string     `json:"name"`
		Finish gltfFinish `json:"pbrMetallicRoughness"`
	}
	gltfFinish struct {
		BaseColour [4]float32 `json:"baseColorFactor"`
		Metallic   float32    `json:"metallicFactor"`
		Roughness  float32    `json:"roughnessFactor"`
	}
	gltfAnimation struct {
		Name     string        `json:"name"`
		Channels []gltfChannel `json:"channels"`
		Samplers []gltfSampler `json:"samplers"`
	}
	gltfChannel struct {
		Sampler int        `json:"sampler"`
		Target  gltfTarget `json:"target"`
	}
	gltfTarget struct {
		Node int    `json:"node"`
		Path string `json:"path"`
	}
	gltfSampler struct {
		Input         int    `json:"input"`
		Interpolation string `json:"interpolation,omitempty"` // LINEAR when left out
		Output        int    `json:"output"`
	}
	gltfAccessor struct {
		View      int       `json:"bufferView"`
		Component int       `json:"componentType"`
		Count     int       `json:"count"`
		Type      string    `json:"type"`
		Min       []float32 `json:"min,omitempty"`
		Max       []float32 `json:"max,omitempty"`
	}
	gltfView struct {
		Buffer int `json:"buffer"`
		Offset int `json:"byteOffset"`
		Length int `json:"byteLength"`
		Target int `json:"target,omitempty"`
	}
	gltfBuffer struct {
		Length int `json:"byteLength"`
	}
)

// Codes of the format.
const (
	unsignedShort = 5123
	unsignedInt   = 5125
	float         = 5126

	arrayBuffer        = 34962
	elementArrayBuffer = 34963

	glbMagic   = 0x46546C67
	glbVersion = 2
	chunkJSON  = 0x4E4F534A
	chunkBIN   = 0x004E4942
)

// GLBHead is how every GLB file begins: its magic word and the format's version.
const GLBHead = "glTF\x02\x00\x00\x00"

// encoder gathers a glTF file and its one buffer.
type encoder struct {
	gltfFile
	data []byte
}

// view ends a buffer view that began at an offset and pads the buffer so that the next
// one begins at a multiple of four bytes, as all accessors need.
func (e *encoder) view(from, target int) int {
	e.BufferViews = append(e.BufferViews, gltfView{Offset: from, Length: len(e.data) - from, Target: target})
	for len(e.data)%4 != 0 {
		e.data = append(e.data, 0)
	}
	return len(e.BufferViews) - 1
}

// numbers adds an accessor of tuples of width floats each, with their bounds if these are
// wanted, and gives its number.
func (e *encoder) numbers(values []float32, width, target int, bounds bool) int {
	from := len(e.data)
	for _, v := range values {
		e.data = binary.LittleEndian.AppendUint32(e.data, math.Float32bits(v))
	}
	a := gltfAccessor{View: e.view(from, target), Component: float, Count: len(values) / width, Type: [...]string{1: "SCALAR", 3: "VEC3", 4: "VEC4"}[width]}
	if bounds {
		a.Min, a.Max = append(a.Min, values[:width]...), append(a.Max, values[:width]...)
		for i, v := range values {
			a.Min[i%width], a.Max[i%width] = min(a.Min[i%width], v), max(a.Max[i%width], v)
		}
	}
	e.Accessors = append(e.Accessors, a)
	return len(e.Accessors) - 1
}

// indices adds an accessor of the corners of triangles, short ones where these suffice: the
// greatest value of either size is not to be used.
func (e *encoder) indices(triangles [][3]int, corners int) int {
	from := len(e.data)
	a := gltfAccessor{Component: unsignedShort, Count: 3 * len(triangles), Type: "SCALAR"}
	if corners > math.MaxUint16 {
		a.Component = unsignedInt
	}
	for _, t := range triangles {
		for _, i := range t {
			if a.Component == unsignedShort {
				e.data = binary.LittleEndian.AppendUint16(e.data, uint16(i))
			} else {
				e.data = binary.LittleEndian.AppendUint32(e.data, uint32(i))
			}
		}
	}
	a.View = e.view(from, elementArrayBuffer)
	e.Accessors = append(e.Accessors, a)
	return len(e.Accessors) - 1
}

// bytes are the file as GLB: a header of three words, then the JSON and the binary chunk, each
// padded to a multiple of four bytes.
func (e *encoder) bytes() ([]byte, error) {
	if len(e.data) > 0 {
		e.Buffers = []gltfBuffer{{len(e.data)}}
	}
	text, err := json.Marshal(e.gltfFile)
	if err != nil {
		return nil, err
	}
	for len(text)%4 != 0 {
		text = append(text, ' ')
	}
	le := binary.LittleEndian
	out := le.AppendUint32(nil, glbMagic)
	out = le.AppendUint32(out, glbVersion)
	out = le.AppendUint32(out, 0) // the length of the file, when it is known
	out = le.AppendUint32(out, uint32(len(text)))
	out = le.AppendUint32(out, chunkJSON)
	out = append(out, text...)
	if len(e.data) > 0 {
		out = le.AppendUint32(out, uint32(len(e.data)))
		out = le.AppendUint32(out, chunkBIN)
		out = append(out, e.data...)
	}
	le.PutUint32(out[8:], uint32(len(out)))
	return out, nil
}
