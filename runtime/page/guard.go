package page

import (
	"crypto/subtle"
	"mime"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"
)

// Content policies: of pages, and of output files, in which nothing may run.
const (
	pagePolicy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; " +
		"base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
	filePolicy = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
	svgPolicy  = filePolicy + "; sandbox"
)

// ServeHTTP answers a request, if it comes from a page of ours.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	h := w.Header()
	h.Set("Content-Security-Policy", pagePolicy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cache-Control", "no-store")
	deadline(w, writeTime)
	if r.ContentLength != 0 { // also of those who are refused: the rest is read before the next request
		_ = http.NewResponseController(w).SetReadDeadline(time.Now().Add(bodyTime))
	}

	token, path := splitPath(r.URL.EscapedPath())
	if !s.hosts[r.Host] || subtle.ConstantTimeCompare([]byte(token), []byte(s.token)) != 1 || !ours(r) {
		h.Set("Connection", "close") // strangers keep none
		fail(w, http.StatusForbidden, "not for you")
		return
	}
	s.route(w, r, path)
}

// splitPath takes the first element off a path and splits the rest, which is nil if there
// is none, no more than a name or one that no name can hold: an escaped slash, a step
// up, what is not text.
func splitPath(escaped string) (first string, rest []string) {
	elements := strings.Split(escaped, "/")
	if len(elements) < 3 || elements[0] != "" {
		return "", nil
	}
	for _, e := range elements[2:] {
		name, err := url.PathUnescape(e)
		if err != nil || name == "." || name == ".." || strings.ContainsAny(name, "/\\\x00") || !utf8.ValidString(name) {
			return elements[1], nil
		}
		rest = append(rest, name)
	}
	return elements[1], rest
}

// ours reports whether a request comes from our own pages, as far as the browser
// tells: from none, when the user has typed the address or followed a link from elsewhere
// to a whole page.
func ours(r *http.Request) bool {
	if origin, sent := r.Header["Origin"]; sent && (len(origin) != 1 || origin[0] != "http://"+r.Host) {
		return false
	}
	switch r.Header.Get("Sec-Fetch-Site") {
	case "", "none", "same-origin":
		return true
	}
	return r.Method == http.MethodGet && r.Header.Get("Sec-Fetch-Mode") == "navigate" && r.Header.Get("Sec-Fetch-Dest") == "document"
}

// orders reports whether a request may change something, and answers it if not: it
// must name our origin, which ours has compared, and hold JSON, which no form can send.
func orders(w http.ResponseWriter, r *http.Request) bool {
	if r.Header.Get("Origin") == "" {
		fail(w, http.StatusForbidden, "not for you")
		return false
	}
	if kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || kind != "application/json" {
		fail(w, http.StatusUnsupportedMediaType, "JSON is expected")
		return false
	}
	return true
}

// deadline gives the peer so much time to take in what is written from now on.
func deadline(w http.ResponseWriter, d time.Duration) {
	_ = http.NewResponseController(w).SetWriteDeadline(time.Now().Add(d)) // a recorder in a test has none
}

// fail answers with a status and a text for people.
func fail(w http.ResponseWriter, status int, text string) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.WriteHeader(status)
	_, _ = w.Write([]byte(text + "\n"))
}

// answer writes bytes of a media type.
func answer(w http.ResponseWriter, kind string, body []byte) {
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Length", strconv.Itoa(len(body)))
	deadline(w, writeTime)
	_, _ = w.Write(body) // a peer that has gone needs no answer
}
