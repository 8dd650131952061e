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
		info := lookAt(file)
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

// differs reports whether a file is not what it was when it was last looked at.
func (l looks) differs(file string) bool {
	return !sameLook(l[file], lookAt(file))
}

// lookAt gives nil where there is no file.
func lookAt(file string) os.FileInfo {
	info, err := os.Stat(file)
	if err != nil {
		return nil
	}
	return info
}

func sameLook(a, b os.FileInfo) bool {
	if a == nil || b == nil {
		return a == nil && b == nil
	}
	return a.ModTime().Equal(b.ModTime()) && a.Size() == b.Size() && a.Mode() == b.Mode() && os.SameFile(a, b)
}
