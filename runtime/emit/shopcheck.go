package emit

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"slices"
	"strings"
	"sync"

	"github.com/creasewright/creasewright/runtime/blank"
)

// longestLine is how long a line of a machine file may be, in bytes: readers of G-code take
// 256, and ours are shorter.
const longestLine = 256

// eachLine holds every line of a text to a rule. It gives the context's cause when that ends
// before.
func eachLine(ctx context.Context, text []byte, sound func(line string) bool) error {
	for n := 0; len(text) > 0; n++ {
		if n%256 == 0 && ctx.Err() != nil {
			return context.Cause(ctx)
		}
		i := bytes.IndexByte(text[:min(len(text), longestLine)], '\n')
		if i < 0 || !sound(string(text[:i])) {
			return errors.New("it does more than lead a tool")
		}
		text = text[i+1:]
	}
	return nil
}

// checkHPGL holds an HP-GL file to the instructions that HPGL writes. Others set up a plotter for
// good, or have it send something back.
func checkHPGL(ctx context.Context, text []byte) error {
	return eachLine(ctx, text, func(line string) bool {
		body, ended := strings.CutSuffix(line, ";")
		return ended && len(body) >= 2 &&
			slices.Contains([]string{"IN", "PA", "PU", "PD", "SP", "VS", "AA"}, body[:2]) && only(body[2:], "0123456789,.-")
	})
}

// only reports whether a text has no characters but these.
func only(text, of string) bool {
	return strings.IndexFunc(text, func(r rune) bool { return !strings.ContainsRune(of, r) }) < 0
}

// checkGCode holds a file of G-code to the words that GCode writes, since others call programs
// of the controller's computer (M100 to M199 of LinuxCNC), jump or store offsets, and to comments
// that no controller acts upon: some write files for one that begins with LOGOPEN.
func checkGCode(ctx context.Context, text []byte) error {
	return eachLine(ctx, text, func(line string) bool {
		if comment, ok := strings.CutPrefix(line, "("); ok {
			comment, ok = strings.CutSuffix(comment, ")")
			end := strings.IndexAny(comment+" ", " ,:")
			return ok && commentStarts()[comment[:end]] && plainComment(comment) == comment
		}
		for word := range strings.SplitSeq(line, " ") {
			known := len(word) > 1 && strings.IndexByte("FIJSTXYZ", word[0]) >= 0 && only(word[1:], "0123456789.-")
			if !known && !slices.Contains([]string{"G0", "G1", "G2", "G3", "G17", "G21", "G90", "G94", "M2", "M3", "M5", "M6"}, word) {
				return false
			}
		}
		return true
	})
}

// commentStarts are the words with which comments of G-code begin here; none is a command to
// a controller.
var commentStarts = sync.OnceValue(func() map[string]bool {
	out := map[string]bool{gcodeTitle: true, commentMore: true, "piece": true, "board": true, "machine": true, "size": true, "Z0": true, "several": true, "caution": true}
	for _, k := range blank.Kinds() {
		out[string(k)] = true
	}
	return out
})

// checkSTL holds a binary STL file to be as long as its number of facets says: 50 bytes each,
// behind a header of 80 and the number.
func checkSTL(_ context.Context, file []byte) error {
	const head, facet = 84, 50
	if len(file) < head || uint64(len(file)-head) != facet*uint64(binary.LittleEndian.Uint32(file[head-4:])) {
		return errors.New("it is not as long as it says")
	}
	return nil
}

// glbKeys are the keys of what GLB files hold here. Others refer to files and addresses (uri) or
// ask viewers for more than the format itself.
var glbKeys = sync.OnceValue(func() map[string]bool {
	out := map[string]bool{}
	for _, k := range strings.Fields(`asset version generator scene scenes nodes name mesh meshes translation rotation children
		primitives attributes POSITION NORMAL indices material materials pbrMetallicRoughness baseColorFactor metallicFactor
		roughnessFactor animations channels samplers sampler target node path input interpolation output accessors bufferView
		bufferViews componentType count type min max buffer buffers byteOffset byteLength`) {
		out[k] = true
	}
	return out
})

// checkGLB holds a GLB file to be one chunk of JSON with no keys but glbKeys, and none or one of
// binary data, together as long as its header says.
func checkGLB(ctx context.Context, file []byte) error {
	const header, chunk = 12, 8 // bytes before the first chunk, and before each chunk's data
	le := binary.LittleEndian
	if len(file) < header+chunk || uint64(le.Uint32(file[8:])) != uint64(len(file)) || string(file[header+4:header+8]) != "JSON" {
		return errGLB
	}
	size, rest := uint64(le.Uint32(file[header:])), file[header+chunk:]
	if size > uint64(len(rest)) {
		return errGLB
	}
	text, rest := rest[:size], rest[size:]
	if len(rest) > 0 && (len(rest) < chunk || uint64(le.Uint32(rest)) != uint64(len(rest)-chunk) || string(rest[4:8]) != "BIN\x00") {
		return errGLB
	}
	for n := 0; ; n++ {
		if n%1024 == 0 && ctx.Err() != nil {
			return context.Cause(ctx)
		}
		open := bytes.IndexByte(text, '"')
		if open < 0 {
			return nil
		}
		text = text[open+1:]
		end := stringEnd(text)
		if end < 0 {
			return errGLB
		}
		word := text[:end]
		text = bytes.TrimLeft(text[end+1:], " \t\r\n")
		if bytes.HasPrefix(text, []byte(":")) && !glbKeys()[string(word)] {
			return errGLB
		}
	}
}

// stringEnd is where the quotes stand that end a string of JSON; −1 where none do.
func stringEnd(text []byte) int {
	for i := 0; i < len(text); i++ {
		switch text[i] {
		case '\\':
			i++
		case '"':
			return i
		}
	}
	return -1
}

var errGLB = errors.New("it holds more than a piece in space")
