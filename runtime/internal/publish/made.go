package publish

import (
	"io/fs"
	"os"
	"slices"

	"github.com/creasewright/creasewright/runtime/engine"
)

// made is the files of a run, for telling whether a name stands for one of
// them. That takes no longer for many of them than for few.
type made struct {
	root  *os.Root
	names map[string]bool
	there map[stamp][]fs.FileInfo // those that stand in the folder; nil until asked
}

// stamp is what a file has in common with itself under another name, and with
// few others.
type stamp struct {
	size int64
	at   int64 // ns
}

func stampOf(info fs.FileInfo) stamp { return stamp{info.Size(), info.ModTime().UnixNano()} }

func madeOf(root *os.Root, files []engine.File) *made {
	m := made{root: root, names: map[string]bool{}}
	for _, f := range files {
		m.names[f.Name] = true
	}
	return &m
}

// has reports whether one of the files has the name.
func (m *made) has(name string) bool { return m.names[name] }

// hasUnder reports whether one of the files stands under the name although it
// has another, as it may where the file system does not tell case apart.
func (m *made) hasUnder(name string) bool {
	old, err := m.root.Lstat(name)
	if err != nil {
		return false
	}
	if m.there == nil {
		m.look()
	}
	return slices.ContainsFunc(m.there[stampOf(old)], func(f fs.FileInfo) bool { return os.SameFile(old, f) })
}

func (m *made) look() {
	m.there = map[stamp][]fs.FileInfo{}
	for name := range m.names {
		if info, err := m.root.Lstat(name); err == nil {
			s := stampOf(info)
			m.there[s] = append(m.there[s], info)
		}
	}
}
