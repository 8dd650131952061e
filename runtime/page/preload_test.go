package page

import (
	"regexp"
	"strings"
	"testing"
)

var (
	importedModule  = regexp.MustCompile(`(?:from |: )"\./([\w-]+\.js)"`)
	preloadedModule = regexp.MustCompile(`<link rel="modulepreload" href="a/([\w-]+\.js)">`)
)

// The page names all of its modules in its head, so that they are fetched at once and not
// one import after another.
func TestModulesArePreloaded(t *testing.T) {
	read := func(name string) string {
		text, err := embedded.ReadFile("assets/" + name)
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	needed := map[string]bool{}
	var visit func(name string)
	visit = func(name string) {
		if needed[name] {
			return
		}
		needed[name] = true
		for _, m := range importedModule.FindAllStringSubmatch(read(name), -1) {
			visit(m[1])
		}
	}
	visit("app.js")
	index := read("index.html")
	for name := range needed {
		if name != "app.js" && !strings.Contains(index, `href="a/`+name+`"`) {
			t.Errorf("index.html does not preload %s", name)
		}
	}
	for _, m := range preloadedModule.FindAllStringSubmatch(index, -1) {
		if !needed[m[1]] {
			t.Errorf("index.html preloads %s, which the page does not use", m[1])
		}
	}
}
