package board

import (
	"mime"
	"net/http"
	"path"
	"strconv"
	"unicode/utf8"

	"quoin/cmd/quoin/internal/works"
)

// sendBlob sends what others wrote. To be read in the browser it goes as plain text,
// whatever it says it is, so that nothing in it is obeyed; with "save" in the
// address, or when it is no text, it is saved as a file.
func (b *board) sendBlob(w http.ResponseWriter, r *http.Request, blob, name string) error {
	data, err := works.Ask(r.Context(), b.Store, func(tx *works.Tx) ([]byte, error) { return contents(tx, blob) })
	if err != nil {
		return err
	}
	if data == nil {
		return &mistake{http.StatusNotFound, "There is nothing kept here, or no longer: contents are kept for a time only."}
	}
	if r.URL.Query().Has("save") || !utf8.Valid(data) {
		return send(w, "application/octet-stream", path.Base(name), data)
	}
	return send(w, "text/plain; charset=utf-8", "", data)
}

// send sends bytes; with a name they are saved as a file of that name.
func send(w http.ResponseWriter, media, name string, data []byte) error {
	h := w.Header()
	h.Set("Content-Type", media)
	h.Set("Content-Length", strconv.Itoa(len(data)))
	if name != "" {
		h.Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": name}))
	}
	if media == "image/svg+xml" { // pictures of ours may have styles of their own, and nothing else
		h.Set("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'")
	}
	_, _ = w.Write(data) // who has gone away needs nothing
	return nil
}
