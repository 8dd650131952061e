package engine

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/toolpath"
)

// Paper is a size of paper for files that are printed at home; "" is A4.
type Paper string

// The papers.
const (
	A4     Paper = "a4"
	Letter Paper = "letter"
)

// papers are their sizes upright, in mm (ISO 216; ANSI/ASME Y14.1).
var papers = map[Paper][2]float64{A4: {210, 297}, Letter: {215.9, 279.4}}

// Papers lists the papers there are.
func Papers() []Paper { return []Paper{A4, Letter} }

func (p Paper) orDefault() Paper {
	if p == "" {
		return A4
	}
	return p
}

// Size is the paper's size upright, in mm.
func (p Paper) Size() (width, height float64) {
	s := papers[p.orDefault()]
	return s[0], s[1]
}

// Machines are the names of the machines that files are asked for, each once. That of a layout's bed has one if it
// takes any.
func (req Request) Machines() (names []string) {
	for _, name := range req.For {
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	if req.Layout == nil || req.Motion != nil {
		return names
	}
	if req.Layout.Machine == "" {
		return nil
	}
	return []string{req.Layout.Machine}
}

// choose finds the machines that files are asked for. A name that no machine has, and a machine
// that takes no files, is a fault of what was asked.
func (r *run) choose() *diag.Finding {
	for _, name := range r.req.Machines() {
		m := machineNamed(r.design, name)
		switch {
		case m == nil:
			return noMachine(r.design, name)
		case m.Format == "" && r.req.Layout != nil:
			continue // its bed is a sheet
		case m.Format == "":
			return diag.Scriptf(m.Site, "machine %q has no format, so that no file can be written for it", name).
				WithHint(`say what it reads, as in machine(%q, …, format = "dxf")`, name)
		}
		if fault := machineNameFault(name); fault != "" {
			return diag.Scriptf(m.Site, "machine %q: %s", name, fault).WithHint("its name makes names of files; give it another one")
		}
		for _, other := range r.machines {
			if other != m && model.FileKey(other.Name) == model.FileKey(name) {
				return diag.Scriptf(m.Site, "machine %q: the files of machine %q would have the same names", name, other.Name)
			}
		}
		if !slices.Contains(r.machines, m) {
			r.machines = append(r.machines, m)
		}
	}
	return nil
}

// MachineName reports whether files can be named for a machine of that name.
func MachineName(name string) bool { return machineNameFault(name) == "" }

// machineNameFault says why files cannot be named for a machine; "" when they can. A dot
// would leave open where a piece's name ends, and some words follow the names of pieces in other files.
func machineNameFault(name string) string {
	if fault, _ := model.FileNameFault(name); fault != "" {
		return fault
	}
	if strings.Contains(name, ".") {
		return "a dot in its name cannot stand in the names of its files"
	}
	for _, f := range emit.Formats() {
		if word, _, _ := strings.Cut(strings.TrimPrefix(f.Name, "."), "."); f.From == emit.FromPiece && strings.EqualFold(word, name) {
			return fmt.Sprintf("other files are called PIECE.%s already", word)
		}
	}
	return ""
}

func machineNamed(d *model.Design, name string) *model.Machine {
	for _, m := range d.Machines {
		if m.Name == name {
			return m
		}
	}
	return nil
}

// noMachine is the fault of a name that no machine has.
func noMachine(d *model.Design, name string) *diag.Finding {
	f := diag.Scriptf(nil, "there is no machine %q", name)
	var names, quoted []string
	for _, m := range d.Machines {
		names, quoted = append(names, m.Name), append(quoted, fmt.Sprintf("%q", m.Name))
	}
	if several := strings.Split(name, ","); !slices.ContainsFunc(several, func(n string) bool { return machineNamed(d, strings.TrimSpace(n)) == nil }) {
		return f.WithHint("--for takes the name of one machine; make takes it once for each")
	}
	if near, ok := model.Nearest(name, names); ok {
		return f.WithHint("did you mean %q?", near)
	}
	if len(names) > 0 {
		return f.WithHint("there is %s", strings.Join(quoted, ", "))
	}
	return f.WithHint("describe it in the script with machine(%q, …), or load one from //machines.star", name)
}

// asked are the programs on the machines that files are asked for.
func (r *run) asked() (out []*toolpath.Program) {
	for _, p := range r.programs {
		if slices.ContainsFunc(r.machines, func(m *model.Machine) bool { return m.Machine == p.Machine }) {
			out = append(out, p)
		}
	}
	return out
}

// targets are the machines that files are asked for, as a table of formats takes them.
func (r *run) targets() (out []emit.Target) {
	for _, m := range r.machines {
		out = append(out, emit.Target{Machine: m.Name, Kind: emit.ForMachine(m.Format)})
	}
	return out
}

// program makes the programs of all pieces on the machines that files are asked for and on
// those that compensate, as rules judge what that leaves of a piece: without ways where no file is asked for. A piece that has no
// room on a machine has no program there; a rule tells of it.
func (r *run) program(ctx context.Context) error {
	for _, b := range r.blanks {
		for _, m := range r.design.Machines {
			if !m.Compensates() && !slices.Contains(r.machines, m) {
				continue
			}
			make := toolpath.Judge
			if slices.Contains(r.machines, m) {
				make = toolpath.Make
			}
			p, err := make(ctx, b, m.Machine)
			var large *toolpath.TooLarge
			switch {
			case errors.As(err, &large):
			case err != nil:
				return err
			default:
				r.programs = append(r.programs, p)
			}
		}
	}
	return nil
}
