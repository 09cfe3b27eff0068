package floor

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"

	"quoin/cmd/quoin/internal/dialog"
)

// largest is the most bytes of a message with its ticket that a machine takes.
const largest = 64 << 20

// Handler answers at /device/ID for each machine; GET / lists them, GET /truth
// gives the truth so far, and GET /pending what is still to be done.
func (f *Floor) Handler() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("POST /device/{id}", f.post)
	mux.HandleFunc("GET /{$}", f.list)
	mux.HandleFunc("GET /truth", func(w http.ResponseWriter, _ *http.Request) { answer(w, f.Truth()) })
	mux.HandleFunc("GET /pending", func(w http.ResponseWriter, _ *http.Request) {
		entries, messages := f.Pending()
		answer(w, map[string]int{"entries": entries, "messages": messages})
	})
	return mux
}

// answer writes JSON. A reader that went away is no concern of ours.
func answer(w http.ResponseWriter, v any) {
	w.Header().Set("Content-Type", "application/json")
	enc := json.NewEncoder(w)
	enc.SetIndent("", " ")
	_ = enc.Encode(v)
}

func (f *Floor) list(w http.ResponseWriter, _ *http.Request) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	fmt.Fprintf(w, "Rehearsed machines of %s. They are not real ones: their figures are invented.\n\n", f.Plant.Name)
	for _, d := range f.devices {
		fmt.Fprintf(w, "%-16s %s  %d in the queue\n", d.channel.Device, d.address(), d.open())
	}
}

func (f *Floor) post(w http.ResponseWriter, r *http.Request) {
	d := f.device(r.PathValue("id"))
	if d == nil {
		http.Error(w, fmt.Sprintf("there is no machine %q here; GET / lists them", r.PathValue("id")), http.StatusNotFound)
		return
	}
	body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, largest))
	if err != nil {
		status := http.StatusBadRequest
		if over := (&http.MaxBytesError{}); errors.As(err, &over) {
			status = http.StatusRequestEntityTooLarge
		}
		http.Error(w, err.Error(), status)
		return
	}
	reply := d.endpoint.Answer(r.Context(), dialog.Incoming{
		Origin: r.RemoteAddr, Media: r.Header.Get("Content-Type"), Body: body,
	})
	if reply.Media != "" {
		w.Header().Set("Content-Type", reply.Media)
	}
	w.WriteHeader(reply.Status)
	_, _ = w.Write(reply.Body) // a sender that went away asks again
}
