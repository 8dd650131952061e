// Package printer draws the sheet as PDF, for printing and sending, and as PNG,
// for pages and mails, through github.com/tdewolff/canvas; the template that artwork is
// laid on; prints of true size on sheets to be joined; and job sheets. Importing it, for
// its effect alone if need be, lets engine make these formats:
//
//	import _ "github.com/creasewright/creasewright/runtime/printer"
//
// Text is set in Liberation Sans (SIL Open Font License 1.1), which has the
// widths of the first font that preview.svg asks for; a PDF embeds what it uses
// of it. All files are the same bytes for the same design on every run; where
// processors round differently a pixel's shade may differ.
//
// The package is one of its own because canvas brings some 150 packages: what
// these initialise costs a process 2.6 to 3.2 ms of processor time at its start
// (a program that does nothing takes 2.1 ms, with canvas 4.7, with its
// rasterizer 5.1), which no other command should pay. Hence the program
// creasewright-print.
//
// The package is not stable yet.
package printer

import (
	"bytes"
	"context"
	"encoding/binary"
	"hash/crc32"
	"image/png"
	"strings"

	"github.com/tdewolff/canvas"
	"github.com/tdewolff/canvas/renderers/pdf"
	"github.com/tdewolff/canvas/renderers/rasterizer"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/internal/preview"
)

// init enters the formats in the engine's table, so that importing the package
// is enough to have them.
func init() {
	engine.Register(emit.KindPDF, ofSheet(PDF))
	engine.Register(emit.KindPNG, ofSheet(PNG))
	engine.Register(emit.KindPrint, Print)
	engine.Register(emit.KindSheet, JobSheet)
	engine.Register(emit.KindTiles, Tiles)
}

// ofSheet is the maker of what is drawn from the sheet.
func ofSheet(draw func(context.Context, *preview.Sheet) ([]byte, error)) engine.Maker {
	return func(ctx context.Context, m engine.Made) ([]byte, error) {
		s, err := m.Sheet()
		if err != nil {
			return nil, err
		}
		return draw(ctx, s)
	}
}

// Resolution of a PNG in pixels a millimetre, 203 to the inch; and how many
// pixels a side may have. Sheets larger than A2 get fewer a millimetre.
const (
	resolution = 8.0
	mostPixels = 4800
)

// PDF draws a sheet as a page of its true size, 1/72 inch being 25.4/72 mm. The text
// stays text, in embedded subsets of the fonts. The error is canvas's, the context's
// cause, or that of timeless where canvas has written a file it does not know.
func PDF(ctx context.Context, s *preview.Sheet) ([]byte, error) { return pages(ctx, s) }

// pages draws a sheet and more behind it, a page for each; see PDF.
func pages(ctx context.Context, first *preview.Sheet, more ...*preview.Sheet) ([]byte, error) {
	fonts, err := loadFonts()
	if err != nil {
		return nil, err
	}
	c, err := draw(ctx, first, fonts)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	r := pdf.New(&out, first.Size.X, first.Size.Y, nil)
	r.SetInfo(plain(first.Title), "", "", "", "Creasewright")
	c.RenderTo(r)
	for _, s := range more {
		if c, err = draw(ctx, s, fonts); err != nil {
			return nil, err
		}
		r.NewPage(s.Size.X, s.Size.Y)
		c.RenderTo(r)
	}
	if err := r.Close(); err != nil {
		return nil, err
	}
	return timeless(out.Bytes())
}

// PNG draws a sheet with 8 pixels a millimetre, fewer where a side would have
// more than 4,800; the file says how many. The image takes at most
// 4,800 · 3,394 pixels of 4 bytes, 65 MB.
func PNG(ctx context.Context, s *preview.Sheet) ([]byte, error) {
	fonts, err := loadFonts()
	if err != nil {
		return nil, err
	}
	c, err := draw(ctx, s, fonts)
	if err != nil {
		return nil, err
	}
	density := min(resolution, mostPixels/max(s.Size.X, s.Size.Y))
	img := rasterizer.Draw(c, canvas.DPMM(density), canvas.LinearColorSpace{})
	if ctx.Err() != nil {
		return nil, context.Cause(ctx)
	}
	var out bytes.Buffer
	if err := png.Encode(&out, img); err != nil {
		return nil, err
	}
	return withDensity(out.Bytes(), density), nil
}

// withDensity adds the chunk pHYs that tells the pixels a metre (PNG, third
// edition, 11.3.4.3) after the header, whose length is fixed.
func withDensity(file []byte, perMM float64) []byte {
	const header = 8 + 25
	body := []byte("pHYs")
	for range 2 {
		body = binary.BigEndian.AppendUint32(body, uint32(perMM*1000+0.5))
	}
	body = append(body, 1) // the unit is the metre
	out := append(append([]byte{}, file[:header]...), 0, 0, 0, byte(len(body)-4))
	out = binary.BigEndian.AppendUint32(append(out, body...), crc32.ChecksumIEEE(body))
	return append(out, file[header:]...)
}

// plain is a title in the letters of ASCII, without the signs that a PDF's names
// and comments are written with, so that no part can be mistaken for one; "" for
// a title in other letters.
func plain(title string) string {
	for _, r := range title {
		if r < ' ' || r > '~' {
			return ""
		}
	}
	return strings.NewReplacer("/", " ", "#", " ", "%", " ").Replace(title)
}
