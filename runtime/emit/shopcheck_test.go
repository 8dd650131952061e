package emit_test

import (
	"context"
	"encoding/binary"
	"errors"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/emit"
)

// glb is a GLB file with this JSON and this binary data.
func glb(json, data string) string {
	word := func(n int) string { return string(binary.LittleEndian.AppendUint32(nil, uint32(n))) }
	body := word(len(json)) + "JSON" + json
	if data != "" {
		body += word(len(data)) + "BIN\x00" + data
	}
	return "glTF" + word(2) + word(12+len(body)) + body
}

// dxf is a DXF file with some tags among its entities.
func dxf(tags string) string {
	return "  0\nSECTION\n  2\nENTITIES\n" + tags + "  0\nENDSEC\n  0\nEOF\n"
}

// Law: what DXF writes of random blanks is taken.
func TestDXFIsTaken(t *testing.T) {
	for seed := range int64(40) {
		text, err := emit.DXF(t.Context(), laid(t, seed), seed%2 == 0)
		if err != nil {
			t.Fatal(err)
		}
		if f := formatOf(t, emit.KindCutDXF); f.Check(t.Context(), text) != nil || f.Check(t.Context(), append(text, "  0\nEOF\n"[:4]...)) == nil {
			t.Errorf("seed %d: not taken, or taken with half a tag more", seed)
		}
	}
}

// Files of machines and of space are taken only with what our writers write: no other
// instructions, no comments that controllers act upon (LinuxCNC's manual, "Active comments"), no
// references to other files.
func TestShopFilesThatDoHarm(t *testing.T) {
	for _, c := range []struct {
		kind emit.Kind
		text string
		want bool
	}{
		{emit.KindMachineHPGL, "IN;\nPA;\nSP1;\nPU0,40;\nPD40,40;\nAA80,40,-180,5;\nPD120,40;\nPU;\nSP0;\n", true},
		{emit.KindMachineHPGL, "IN;\nPA;\n\x1b.B;\nPU;\nSP0;\n", false},
		{emit.KindMachineHPGL, "IN;\nPA;\nOA;\nPU;\nSP0;\n", false},
		{emit.KindMachineHPGL, "IN;\nPA;\nPD1,1;OA;\nPU;\nSP0;\n", false},
		{emit.KindMachineHPGL, "IN;\nPA;\nPD" + strings.Repeat("1,1,", 100) + "1,1;\nPU;\nSP0;\n", false},
		{emit.KindMachineGCode, "(Creasewright, RS274/NGC)\n(piece: a)\n(... LOGOPEN,b)\nG21 G90 G17 G94\nT1 M6\nG0 X1.0000 Y-2.0000\nM2\n", true},
		{emit.KindMachineGCode, "(Creasewright)\n(LOGOPEN,b)\nM2\n", false},
		{emit.KindMachineGCode, "(Creasewright)\n( LOGOPEN,b)\nM2\n", false},
		{emit.KindMachineGCode, "(Creasewright)\n(piece: a) (LOGOPEN,b)\nM2\n", false},
		{emit.KindMachineGCode, "(Creasewright)\nM101 P1\nM2\n", false},
		{emit.KindMachineGCode, "(Creasewright)\nO<sub> call\nM2\n", false},
		{emit.KindMachineGCode, "(Creasewright)\nG10 L2 P1 X5\nM2\n", false},
		{emit.KindMachineGCode, "(Creasewright)\nG1 X#5\nM2\n", false},
		{emit.KindMachineGCode, "(Creasewright)\nG1 X1; M2\nM2\n", false},
		{emit.KindCutDXF, dxf("  0\nLINE\n  5\n2F\n  8\ncut\n 10\n-1.5000\n"), true},
		{emit.KindCutDXF, dxf("  0\nINSERT\n  2\nxref\n"), false},
		{emit.KindCutDXF, dxf("  0\nBLOCK\n  1\nother.dwg\n"), false},
		{emit.KindCutDXF, dxf("  0\nIMAGEDEF\n  1\nhttp://example.org/a.png\n"), false},
		{emit.KindCutDXF, dxf("  0\nOLE2FRAME\n"), false},
		{emit.KindCutDXF, dxf("  0\nTEXT\n  1\nhello\n"), false},
		{emit.KindCutDXF, dxf("  0\nLINE\n  8\nC:\\x\n"), false},
		{emit.KindCutDXF, dxf(" 10\n1e5\n"), false},
		{emit.KindCutDXF, dxf(" 10\n" + strings.Repeat("1", 300) + "\n"), false},
		{emit.KindCutDXF, dxf("  999\ncomment\n"), false},
		{emit.KindCutDXF, dxf(" 10\n"), false},
		{emit.KindSTL, "Creasewright: one piece, closed, in mm" + strings.Repeat(" ", 42) + "\x01\x00\x00\x00" + strings.Repeat("x", 50), true},
		{emit.KindSTL, "Creasewright: one piece, closed, in mm" + strings.Repeat(" ", 42) + "\x01\x00\x00\x00" + strings.Repeat("x", 51), false},
		{emit.KindGLB, glb(`{"nodes":[{"name":"uri"},{"name":"\"uri\":"}]}`, "data"), true},
		{emit.KindGLB, glb(`{"buffers":[{"uri":"file:///etc/passwd"}]}`, ""), false},
		{emit.KindGLB, glb(`{"buffers":[{"uri" :"x"}]}`, ""), false},
		{emit.KindGLB, glb(`{"buffers":[{"\u0075ri":"x"}]}`, ""), false},
		{emit.KindGLB, glb(`{"extensionsRequired":["x"]}`, ""), false},
		{emit.KindGLB, glb(`{"name":"x`, ""), false},
		{emit.KindGLB, glb(`{}`, "data") + "more", false},
		{emit.KindGLB, "glTF\x02\x00\x00\x00\x14\x00\x00\x00\xff\xff\xff\xffJSON", false},
	} {
		if got := recognised(formatOf(t, c.kind), c.text); got != c.want {
			t.Errorf("%s, %q: taken %v", c.kind, c.text, got)
		}
	}
}

// A check ends with its context.
func TestShopChecksEnd(t *testing.T) {
	ctx, cancel := context.WithCancelCause(context.Background())
	cause := errors.New("enough")
	cancel(cause)
	for _, c := range []struct {
		kind emit.Kind
		text string
	}{
		{emit.KindMachineHPGL, "IN;\nPA;\nPU;\nSP0;\n"}, {emit.KindMachineGCode, "(Creasewright)\nM2\n"}, {emit.KindCutDXF, dxf("")}, {emit.KindGLB, glb("{}", "")},
	} {
		f := formatOf(t, c.kind)
		if err := f.Check(ctx, []byte(c.text)); err != cause {
			t.Errorf("%s: %v", c.kind, err)
		}
	}
}
