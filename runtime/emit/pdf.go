package emit

import (
	"bytes"
	"context"
	"errors"
	"regexp"
	"sync"

	"github.com/creasewright/creasewright/runtime/internal/pdf"
)

// How every PDF that a run makes begins and ends.
const (
	pdfHead = pdf.Head
	pdfTail = pdf.Tail
)

// pdfWords are names with which a PDF acts on whoever opens it or hides what it
// holds, and the sign by which a name may be written so that it is not found.
var pdfWords = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`#|/(JS|JavaScript|OpenAction|AA|Launch|URI|GoToR|GoToE|SubmitForm|ImportData|EmbeddedFiles?|Filespec|RichMedia|XFA|ObjStm|Encrypt|Annots)\b`)
})

// checkPDF holds a PDF to be a plain drawing: outside its streams
// there is no comment, behind which a reader might see other objects than this
// function does, and none of pdfWords. A stream is one only behind a dictionary
// without strings, for a string may hold anything.
func checkPDF(ctx context.Context, file []byte) error {
	file = file[len(pdfHead) : len(file)-len(pdfTail)]
	for ctx.Err() == nil {
		open, rest, ok := bytes.Cut(file, []byte("stream\n"))
		if !ok {
			if plainPDF(open) {
				return nil
			}
			return errPDF
		}
		dict := open[max(0, bytes.LastIndex(open, []byte("obj\n"))):]
		if !plainPDF(open) || !bytes.HasSuffix(dict, []byte(">>")) || bytes.ContainsAny(dict, "()") {
			return errPDF
		}
		if _, file, ok = bytes.Cut(rest, []byte("\nendstream\n")); !ok {
			return errPDF
		}
	}
	return context.Cause(ctx)
}

var errPDF = errors.New("it may do more than show a drawing")

// plainPDF reports whether a part outside streams has neither a comment nor one of
// pdfWords.
func plainPDF(part []byte) bool {
	return !bytes.ContainsRune(part, '%') && !pdfWords().Match(part)
}
