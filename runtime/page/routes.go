package page

import (
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"strconv"
	"time"
)

// mostBody bounds the body of a request, in bytes.
const mostBody = 64 << 10

// route answers what a page asks for below the token.
func (s *Server) route(w http.ResponseWriter, r *http.Request, path []string) {
	method, handle := s.handler(path)
	switch {
	case handle == nil:
		fail(w, http.StatusNotFound, "there is nothing of this name")
	case r.Method != method:
		w.Header().Set("Allow", method)
		fail(w, http.StatusMethodNotAllowed, "this takes "+method)
	case method == http.MethodPost && !orders(w, r):
	default:
		handle(w, r)
	}
}

// handler finds what answers a path, and by which method. It gives nil for names that are
// in no list: those of assets, of scripts that are watched, of files that a run made.
func (s *Server) handler(path []string) (method string, handle http.HandlerFunc) {
	if len(path) == 0 || len(path) > 3 {
		return "", nil
	}
	if path[0] == "events" && len(path) == 1 {
		return http.MethodGet, s.events
	}
	if a, ok := s.asset(path); ok {
		return http.MethodGet, a.serve
	}
	if path[0] == "data" && len(path) == 2 {
		if display, ok := s.feed.data(path[1]); ok {
			return http.MethodGet, func(w http.ResponseWriter, r *http.Request) { serveData(w, r, path[1], display) }
		}
		return "", nil
	}
	if len(path) < 2 {
		return "", nil
	}
	status, ok := s.scriptOf(path[1])
	if !ok {
		return "", nil
	}
	return s.scriptHandler(path, status)
}

// scriptHandler finds what answers a path that names a script.
func (s *Server) scriptHandler(path []string, status Status) (method string, handle http.HandlerFunc) {
	on := func(f func(http.ResponseWriter, *http.Request, Status)) http.HandlerFunc {
		return func(w http.ResponseWriter, r *http.Request) { f(w, r, status) }
	}
	switch {
	case path[0] == "file" && len(path) == 3:
		for _, f := range status.Files {
			if f.Name == path[2] {
				return http.MethodGet, func(w http.ResponseWriter, r *http.Request) { s.file(w, r, status.ID, f.Name) }
			}
		}
	case len(path) != 2:
	case path[0] == "motion":
		return http.MethodGet, on(s.motion)
	case path[0] == "try":
		return http.MethodPost, on(s.try)
	case path[0] == "edit" && status.Editor:
		return http.MethodPost, on(s.edit)
	}
	return "", nil
}

// scriptOf finds a script by its number as it is written in a path: in one way only.
func (s *Server) scriptOf(number string) (Status, bool) {
	id, err := strconv.Atoi(number)
	if err != nil || strconv.Itoa(id) != number {
		return Status{}, false
	}
	return s.feed.about(id)
}

// readBody reads the JSON of a request into a value, and answers the request if it is not as
// it should be.
func readBody(w http.ResponseWriter, r *http.Request, into any) bool {
	body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, mostBody))
	if err == nil {
		// All of it is there. A deadline that stayed would end the request's context when
		// it passes.
		_ = http.NewResponseController(w).SetReadDeadline(time.Time{})
	}
	if large := (*http.MaxBytesError)(nil); errors.As(err, &large) {
		fail(w, http.StatusRequestEntityTooLarge, "this is too long")
		return false
	}
	if err == nil {
		err = json.Unmarshal(body, into)
	}
	if err != nil {
		fail(w, http.StatusBadRequest, "this is not the JSON that is expected here")
		return false
	}
	return true
}

// answerJSON writes a value, which can be encoded.
func answerJSON(w http.ResponseWriter, value any) {
	body, err := json.Marshal(value)
	if err != nil {
		fail(w, http.StatusInternalServerError, err.Error())
		return
	}
	answer(w, "application/json", body)
}
