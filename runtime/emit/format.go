package emit

import (
	"bytes"
	"context"
	"errors"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/toolpath"
)

// Kind names a file format: "cut-svg".
type Kind string

// The kinds in the table.
const (
	KindCutSVG  Kind = "cut-svg"
	KindCutDXF  Kind = "cut-dxf"
	KindPreview Kind = "preview" // a picture for people
	KindPDF     Kind = "pdf"     // the same sheet
	KindPNG     Kind = "png"
	KindReport  Kind = "report"  // for programs
	KindDisplay Kind = "display" // for a screen: the run as plain data
	KindMotion  Kind = "motion"  // for a screen: a piece on its way to a pose

	KindPrint Kind = "print" // the print template
	KindTiles Kind = "tiles" // the blank at true size over sheets of paper
	KindSheet Kind = "sheet" // the job sheet
	KindGLB   Kind = "glb"   // the folding piece in space
	KindSTL   Kind = "stl"   // the closed piece in space

	KindLayoutSVG     Kind = "layout-svg" // pieces laid on a sheet
	KindLayoutDXF     Kind = "layout-dxf"
	KindLayoutPicture Kind = "layout-picture" // the same for people
	KindLayoutJSON    Kind = "layout-json"    // and for programs

	KindMachineSVG   Kind = "machine-svg"
	KindMachineDXF   Kind = "machine-dxf"
	KindMachinePDF   Kind = "machine-pdf"
	KindMachineHPGL  Kind = "machine-hpgl"
	KindMachineGCode Kind = "machine-gcode"
)

// ForMachine is the kind of the files of machines that take a format.
func ForMachine(f board.MachineFormat) Kind { return Kind("machine-" + f) }

// Names of the files that a run makes once, whatever its pieces are.
const (
	PreviewName = "preview.svg"
	PDFName     = "preview.pdf"
	PNGName     = "preview.png"
	ReportName  = "report.json"
	DisplayName = "display.json"
	MotionName  = "motion.json"
	SheetName   = "sheet.pdf"
)

// Source is what a file is made from.
type Source int

// The sources.
const (
	FromPiece   Source = iota // the blank of one piece: one file a piece
	FromDesign                // the whole design: one file a run
	FromProgram               // a piece on a machine: one file for each that is asked for
	FromLayout                // pieces laid on a sheet: made instead of all others when that is asked for
)

// Target is a machine that files are asked for.
type Target struct {
	Machine string // its name
	Kind    Kind   // of its files
}

// When is the worst ending of a run with which a format is still written. The
// values are in the order of engine.Exit.
type When int

// The endings.
const (
	WhenClean  When = iota // only without errors: files that a machine works from
	WithErrors             // also when the design has errors
	WithFault              // also, from the fault alone, when the script gives no design
)

// Traits are what can be said of a format without its bytes. They are plain
// data and stand in every file that a run makes.
type Traits struct {
	Kind  Kind
	From  Source
	When  When
	Asked bool // made only when it is asked for
	// Unwritten files are handed to whoever runs the design and stand in no output
	// folder. Nobody asks for them by name.
	Unwritten bool
}

// EveryRun reports whether each run without errors makes just one such file of
// one name, whatever the design and the request are.
func (t Traits) EveryRun() bool { return t.From == FromDesign && t.When > WhenClean && !t.Asked }

// Format is one file format: a row of the table.
type Format struct {
	Traits
	// Name is the file's name or, for a file of a piece, what follows the
	// names of the piece and the machine: ".cut.svg".
	Name string
	// Head and Tail are how every such file begins and ends. Search, if it is not
	// nil, looks through the whole file, in linear time, for what could do harm
	// when it is opened: scripts, references to other files, actions.
	Head, Tail string
	Search     func(context.Context, []byte) error

	// One of these makes the bytes. What is drawn, folded or shown on screens has none:
	// it is made by packages that this one does not import; engine knows them.
	Piece   func(context.Context, *blank.Blank) ([]byte, error)
	Design  func(context.Context, Run) ([]byte, error)
	Program func(context.Context, *toolpath.Program) ([]byte, error)
	Layout  func(context.Context, *Layout) ([]byte, error)
}

// FileName is the name of a piece's file, of one for a machine, or of the run's.
func (f *Format) FileName(piece, machine string) string {
	switch f.From {
	case FromPiece:
		return piece + f.Name
	case FromProgram:
		return piece + "." + machine + f.Name
	}
	return f.Name
}

// Check holds the bytes to be, by their beginning and their end, a file of the
// format, and one that does no harm when it is opened. It gives the context's
// cause when that ends before.
func (f *Format) Check(ctx context.Context, text []byte) error {
	if len(text) < len(f.Head)+len(f.Tail) || !bytes.HasPrefix(text, []byte(f.Head)) || !bytes.HasSuffix(text, []byte(f.Tail)) {
		return errors.New("it is no such file")
	}
	if f.Search == nil {
		return nil
	}
	return f.Search(ctx, text)
}

// Table is a list of formats in the order in which a run gives its files: those
// of each piece together, then those of the design. The report is last: who
// waits for it finds the others in place.
type Table []Format

// Formats is the table of every format that a run can make. It is a copy.
func Formats() Table {
	return Table{
		{
			Traits: Traits{Kind: KindCutSVG, From: FromPiece, When: WhenClean}, Name: ".cut.svg",
			Head: svgHead, Tail: svgTail, Search: checkSVG,
			Piece: func(ctx context.Context, b *blank.Blank) ([]byte, error) { return SVG(ctx, b, b.Piece.Inside) },
		}, {
			Traits: Traits{Kind: KindCutDXF, From: FromPiece, When: WhenClean}, Name: ".cut.dxf",
			Head: dxfHead, Tail: dxfTail, Search: checkDXF,
			Piece: func(ctx context.Context, b *blank.Blank) ([]byte, error) { return DXF(ctx, b, b.Piece.Inside) },
		}, {
			Traits: Traits{Kind: KindPrint, From: FromPiece, When: WhenClean, Asked: true}, Name: ".print.pdf",
			Head: pdfHead, Tail: pdfTail, Search: checkPDF,
		}, {
			Traits: Traits{Kind: KindTiles, From: FromPiece, When: WhenClean, Asked: true}, Name: ".tiles.pdf",
			Head: pdfHead, Tail: pdfTail, Search: checkPDF,
		}, {
			Traits: Traits{Kind: KindGLB, From: FromPiece, When: WhenClean, Asked: true}, Name: ".glb",
			Head: "glTF\x02\x00\x00\x00", Search: checkGLB,
		}, {
			Traits: Traits{Kind: KindSTL, From: FromPiece, When: WhenClean, Asked: true}, Name: ".stl",
			Head: "Creasewright: one piece, closed, in mm", Search: checkSTL,
		}, {
			Traits: Traits{Kind: KindMachineSVG, From: FromProgram, When: WhenClean}, Name: ".svg",
			Head: svgHead, Tail: svgTail, Search: checkSVG, Program: machineSVG,
		}, {
			Traits: Traits{Kind: KindMachineDXF, From: FromProgram, When: WhenClean}, Name: ".dxf",
			Head: dxfHead, Tail: dxfTail, Search: checkDXF, Program: machineDXF,
		}, {
			Traits: Traits{Kind: KindMachinePDF, From: FromProgram, When: WhenClean}, Name: ".pdf",
			Head: pdfHead, Tail: pdfTail, Search: checkPDF, Program: MachinePDF,
		}, {
			Traits: Traits{Kind: KindMachineHPGL, From: FromProgram, When: WhenClean}, Name: ".hpgl",
			Head: hpglHead, Tail: hpglTail, Search: checkHPGL, Program: HPGL,
		}, {
			Traits: Traits{Kind: KindMachineGCode, From: FromProgram, When: WhenClean}, Name: ".gcode",
			Head: "(" + gcodeTitle, Tail: "\nM2\n", Search: checkGCode, Program: GCode,
		}, {
			Traits: Traits{Kind: KindLayoutSVG, From: FromLayout, When: WhenClean}, Name: LayoutSVGName,
			Head: svgHead, Tail: svgTail, Search: checkSVG, Layout: layoutSVG,
		}, {
			Traits: Traits{Kind: KindLayoutDXF, From: FromLayout, When: WhenClean}, Name: LayoutDXFName,
			Head: dxfHead, Tail: dxfTail, Search: checkDXF, Layout: layoutDXF,
		}, {
			Traits: Traits{Kind: KindLayoutPicture, From: FromLayout, When: WhenClean}, Name: LayoutPictureName,
			Head: svgHead, Tail: svgTail, Search: checkSVG,
		}, {
			Traits: Traits{Kind: KindLayoutJSON, From: FromLayout, When: WhenClean}, Name: LayoutJSONName,
			Head: "{\n", Tail: "}\n", Layout: layoutJSON,
		}, {
			Traits: Traits{Kind: KindSheet, From: FromDesign, When: WithErrors, Asked: true}, Name: SheetName,
			Head: pdfHead, Tail: pdfTail, Search: checkPDF,
		}, {
			Traits: Traits{Kind: KindPreview, From: FromDesign, When: WithFault}, Name: PreviewName,
			Head: svgHead, Tail: svgTail, Search: checkSVG,
		}, {
			Traits: Traits{Kind: KindPDF, From: FromDesign, When: WithErrors, Asked: true}, Name: PDFName,
			Head: pdfHead, Tail: pdfTail, Search: checkPDF,
		}, {
			Traits: Traits{Kind: KindPNG, From: FromDesign, When: WithErrors, Asked: true}, Name: PNGName,
			Head: "\x89PNG\r\n\x1a\n", Tail: "IEND\xaeB`\x82",
		}, {
			Traits: Traits{Kind: KindDisplay, From: FromDesign, When: WithErrors, Asked: true, Unwritten: true}, Name: DisplayName,
			Head: `{"format":"creasewright-display"`, Tail: "}\n",
		}, {
			Traits: Traits{Kind: KindMotion, From: FromDesign, When: WhenClean, Asked: true, Unwritten: true}, Name: MotionName,
			Head: `{"format":"creasewright-motion"`, Tail: "}\n",
		}, {
			Traits: Traits{Kind: KindReport, From: FromDesign, When: WithErrors}, Name: ReportName,
			Head: "{\n", Tail: "}\n",
			Design: Report,
		},
	}
}

// Of finds the format of a kind.
func (t Table) Of(k Kind) (f Format, ok bool) {
	for _, f := range t {
		if f.Kind == k {
			return f, true
		}
	}
	return Format{}, false
}

// Only gives the formats of these kinds.
func (t Table) Only(kinds []Kind) Table {
	out := Table{} // not nil, even when it is empty
	for _, f := range t {
		if slices.Contains(kinds, f.Kind) {
			out = append(out, f)
		}
	}
	return out
}

// Kinds lists the kinds of the formats.
func (t Table) Kinds() (out []Kind) {
	for _, f := range t {
		out = append(out, f.Kind)
	}
	return out
}

// File is a file that a run is to make.
type File struct {
	Format *Format
	Name   string
	Piece  int // the index of its piece, for a file of one
	Target int // the index of its machine among the targets, for a file for one
}

// Asked is what is asked of a run beyond the files that every run makes.
type Asked struct {
	Also    []Kind   // formats that are made only when asked for
	Targets []Target // machines that are to have files of every piece
	Layout  bool     // the files of a layout, also for the Targets, and no others
}

// Files lists the files of a run with this ending and these pieces, in order: those of
// each piece together, the ones for machines last among them, then those of the design.
func (t Table) Files(ending When, pieces []string, asked Asked) []File {
	var out []File
	add := func(from Source, piece int, name string) {
		for i := range t {
			if f := &t[i]; f.From == from && f.When >= ending && (!f.Asked || slices.Contains(asked.Also, f.Kind)) {
				out = append(out, File{Format: f, Name: f.FileName(name, ""), Piece: piece})
			}
		}
	}
	machines := func(piece int, name string) {
		for k, target := range asked.Targets {
			for j := range t {
				if f := &t[j]; f.Kind == target.Kind && f.From == FromProgram && f.When >= ending {
					out = append(out, File{Format: f, Name: f.FileName(name, target.Machine), Piece: piece, Target: k})
				}
			}
		}
	}
	if asked.Layout {
		machines(0, LayoutName)
		add(FromLayout, 0, "")
		return out
	}
	for i, name := range pieces {
		add(FromPiece, i, name)
		machines(i, name)
	}
	add(FromDesign, 0, "")
	return out
}
