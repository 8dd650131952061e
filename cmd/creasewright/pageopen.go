package main

import (
	"fmt"
	"html"
	"os"
	"path/filepath"
)

// door is a file that leads a browser to the page. A browser's command line can be read by
// every user of the machine, and the page's URL is what keeps others out: so it is the path
// of this file that is handed over, which only its owner can read.
const door = `<!DOCTYPE html>
<html lang="en">
<meta charset="utf-8">
<meta name="referrer" content="no-referrer">
<meta http-equiv="refresh" content="0;url=%[1]s">
<title>Creasewright</title>
<a href="%[1]s">The live page</a>
</html>
`

// openPage opens the page in the browser. The file that leads there is left for remove.
func (c *console) openPage(url string) (remove func(), err error) {
	dir, err := os.MkdirTemp(doorFolder(), "creasewright-page-")
	if err != nil {
		return func() {}, err
	}
	remove = func() { _ = os.RemoveAll(dir) } // it holds a URL that leads nowhere by then
	path := filepath.Join(dir, "page.html")
	if err = os.WriteFile(path, fmt.Appendf(nil, door, html.EscapeString(url)), 0o600); err == nil {
		err = c.open(path)
	}
	return remove, err
}

// doorFolder is where the file is put, "" for the system's folder for such files. Browsers
// from snap packages do not see that one, nor what is hidden in the user's own.
func doorFolder() string {
	if info, err := os.Stat("/snap"); err != nil || !info.IsDir() {
		return ""
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return ""
	}
	return home
}
