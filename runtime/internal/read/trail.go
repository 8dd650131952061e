package read

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// mostLinks bounds how many links one path is followed through; systems give up
// at forty.
const mostLinks = 40

// Trail lists the paths on disk whose change may change what Text gives for the
// labels: where each lies or would lie, every link on the way there and where
// it leads, and the script's own path as it was given. It is what a watcher has
// to follow.
func (f *Folder) Trail(labels []string) []string {
	all := trail(f.given, "")
	for _, label := range labels {
		if dir, name, err := f.place(label); err == nil {
			all = append(all, trail(filepath.Join(dir, filepath.FromSlash(name)), dir)...)
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// trail follows the links of a path, but for those above the root.
func trail(path, root string) []string {
	out := []string{path}
	for range mostLinks {
		link := firstLink(path, root)
		if link == "" {
			break
		}
		out = append(out, link)
		target, err := os.Readlink(link)
		if err != nil {
			break
		}
		if !filepath.IsAbs(target) {
			target = filepath.Join(filepath.Dir(link), target)
		}
		path = filepath.Join(target, path[len(link):])
		out = append(out, path)
		root = ""
	}
	return out
}

// firstLink is the shortest path on the way that is a link and not above the
// root, "" when there is none.
func firstLink(path, root string) string {
	for at := max(len(root), len(filepath.VolumeName(path))+1); at <= len(path); at++ {
		if at < len(path) && !os.IsPathSeparator(path[at]) {
			continue
		}
		if info, err := os.Lstat(path[:at]); err != nil {
			return ""
		} else if info.Mode()&os.ModeSymlink != 0 {
			return strings.TrimRight(path[:at], string(filepath.Separator))
		}
	}
	return ""
}
