package watch

import "os"

// looks is what each followed file was when it was last looked at, nil where
// there was none.
type looks map[string]os.FileInfo

// again looks at the files and lists those that are others than last time or
// have changed since. A file looked at for the first time is not among them.
func (l looks) again(files []string) (changed []string) {
	now := make(looks, len(files))
	for _, file := range files {
		info, err := os.Stat(file)
		if err != nil {
			info = nil
		}
		now[file] = info
		if before, ok := l[file]; ok && !sameLook(before, info) {
			changed = append(changed, file)
		}
	}
	clear(l)
	for file, info := range now {
		l[file] = info
	}
	return changed
}

func sameLook(a, b os.FileInfo) bool {
	if a == nil || b == nil {
		return a == nil && b == nil
	}
	return a.ModTime().Equal(b.ModTime()) && a.Size() == b.Size() && os.SameFile(a, b)
}
