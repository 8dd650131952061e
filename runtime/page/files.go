package page

import (
	"embed"
	"io/fs"
	"mime"
	"net/http"
	"path"
	"strings"
	"sync"
	"unicode"
)

//go:embed assets/*
var embedded embed.FS

// asset is a file of the page itself.
type asset struct {
	kind   string
	body   []byte
	policy string // instead of that of all pages, if any
}

// Names of the assets that are pages of their own.
const (
	indexName = "index.html"
	printName = "print.html"
)

// assetKinds are the media types of assets; files of other kinds are not served.
var assetKinds = map[string]string{
	".html": "text/html; charset=utf-8",
	".css":  "text/css; charset=utf-8",
	".js":   "text/javascript; charset=utf-8",
	".svg":  "image/svg+xml",
}

// entries are the modules that pages start with. Each is served with all that it imports as
// one script, "app.bundle.js" say; the modules themselves are served as well.
var entries = []string{"app", "print"}

const bundled = ".bundle"

// bundles are joined once, by entry.
var bundles = sync.OnceValue(func() map[string][]byte {
	out := map[string][]byte{}
	for _, entry := range entries {
		script, err := bundle(entry, func(name string) ([]byte, error) { return embedded.ReadFile("assets/" + name) })
		if err != nil {
			panic(err) // a test joins the same modules
		}
		out[entry] = script
	}
	return out
})

// loadAssets lists the embedded files by name, and what is joined of them.
func loadAssets() map[string]asset {
	out := map[string]asset{}
	for entry, script := range bundles() {
		out[entry+bundled+".js"] = asset{kind: assetKinds[".js"], body: script}
	}
	for ext, kind := range assetKinds {
		names, err := fs.Glob(embedded, "assets/*"+ext)
		if err != nil {
			panic(err) // the pattern is wrong
		}
		for _, name := range names {
			body, err := embedded.ReadFile(name)
			if err != nil {
				panic(err) // it is in the program
			}
			out[path.Base(name)] = asset{kind: kind, body: body}
		}
	}
	return out
}

// asset finds the asset of a path: index.html of the path that ends with the token,
// print.html of print/SCRIPT, any other of a/NAME.
func (s *Server) asset(path []string) (asset, bool) {
	name := ""
	switch {
	case len(path) == 1 && path[0] == "":
		name = indexName
	case len(path) != 2:
	case path[0] == "print":
		if _, ok := s.scriptOf(path[1]); ok {
			name = printName
		}
	case path[0] == "a" && path[1] != indexName && path[1] != printName:
		name = path[1]
	}
	a, ok := s.assets[name]
	if name == indexName {
		digest, display := s.feed.first()
		a.body, a.policy = s.index.of(a.body, digest, display), indexPolicy()
	}
	return a, ok
}

func (a asset) serve(w http.ResponseWriter, _ *http.Request) {
	if a.policy != "" {
		w.Header().Set("Content-Security-Policy", a.policy)
	}
	answer(w, a.kind, a.body)
}

// serveData sends a display, which never changes under its digest.
func serveData(w http.ResponseWriter, r *http.Request, digest string, display []byte) {
	tag := `"` + digest + `"`
	w.Header().Set("Cache-Control", "private, max-age=31536000, immutable")
	w.Header().Set("ETag", tag)
	if r.Header.Get("If-None-Match") == tag {
		w.WriteHeader(http.StatusNotModified)
		return
	}
	answer(w, "application/json", display)
}

// fileKinds are the media types of output files. Others are bytes to be saved.
var fileKinds = map[string]string{
	".svg":  "image/svg+xml",
	".dxf":  "image/vnd.dxf",
	".pdf":  "application/pdf",
	".png":  "image/png",
	".json": "application/json",
}

// file sends an output file as it stands on disk, to be shown or to be saved.
func (s *Server) file(w http.ResponseWriter, r *http.Request, script int, name string) {
	body, err := s.source.File(script, name)
	if err != nil {
		fail(w, http.StatusNotFound, err.Error())
		return
	}
	h := w.Header()
	kind, known := fileKinds[path.Ext(name)]
	if !known {
		kind = "application/octet-stream"
	}
	h.Set("Content-Security-Policy", filePolicy)
	if kind == fileKinds[".svg"] {
		h.Set("Content-Security-Policy", svgPolicy)
	}
	if r.URL.Query().Has("download") || !known {
		h.Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": name}))
	}
	answer(w, kind, body)
}

// longestFile bounds the name of a file to be edited, in bytes.
const longestFile = 4096

// edit has the user's editor opened, one at a time.
func (s *Server) edit(w http.ResponseWriter, r *http.Request, status Status) {
	var at struct {
		File string `json:"file"`
		Line int    `json:"line"`
	}
	if !readBody(w, r, &at) {
		return
	}
	if at.File == "" || len(at.File) > longestFile || strings.ContainsFunc(at.File, unicode.IsControl) || at.Line < 1 {
		fail(w, http.StatusBadRequest, "there is no such line")
		return
	}
	if !s.editing.TryLock() {
		fail(w, http.StatusServiceUnavailable, "the editor is being started")
		return
	}
	defer s.editing.Unlock()
	if err := s.source.Edit(status.ID, at.File, at.Line); err != nil {
		fail(w, http.StatusInternalServerError, err.Error())
		return
	}
	answerJSON(w, struct{}{})
}
