package board

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"net/http"
	"path"
)

// asset is one file that pages refer to.
type asset struct {
	media string
	data  []byte
}

var assetTypes = map[string]string{
	".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".svg": "image/svg+xml",
}

// loadStatic reads the static files, and makes a mark of their content.
func loadStatic() (map[string]asset, string, error) {
	entries, err := files.ReadDir("static")
	if err != nil {
		return nil, "", fmt.Errorf("read the files of the board: %w", err)
	}
	sum := sha256.New()
	all := map[string]asset{}
	for _, e := range entries {
		data, err := files.ReadFile("static/" + e.Name())
		if err != nil {
			return nil, "", fmt.Errorf("read the file %q of the board: %w", e.Name(), err)
		}
		sum.Write(data)
		all[e.Name()] = asset{assetTypes[path.Ext(e.Name())], data}
	}
	return all, hex.EncodeToString(sum.Sum(nil))[:12], nil
}

// sendStatic sends a file under the mark of all, so that browsers may keep it.
func (b *board) sendStatic(w http.ResponseWriter, r *http.Request) {
	a, ok := b.static[r.PathValue("file")]
	if !ok || r.PathValue("mark") != b.mark {
		http.Error(w, "no such file", http.StatusNotFound)
		return
	}
	w.Header().Set("Content-Type", a.media)
	w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
	_, _ = w.Write(a.data)
}
