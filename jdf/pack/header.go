package pack

import (
	"bytes"
	"errors"
	"io"
	"mime"
	"slices"
	"strings"
)

// field is one header field, unfolded. Its name is in lower case.
type field struct{ name, value string }

type header []field

// get is the value of a field, or "".
func (h header) get(name string) string {
	if i := slices.IndexFunc(h, func(f field) bool { return f.name == name }); i >= 0 {
		return h[i].value
	}
	return ""
}

// single are the fields that may be given once only: of two, readers would
// take different ones (RFC 2045, section 3; RFC 5322, section 3.6).
var single = []string{
	"mime-version", "content-type", "content-transfer-encoding", "content-id", "content-disposition", "content-location",
}

// headerFault is one thing wrong with a header.
type headerFault struct {
	code      Code
	got, want string
}

// readHeader takes header lines up to and with the empty line. It is stricter
// than net/textproto, which sets no bound and lets control characters pass.
// stop tells lines that end the header too early; they are left to the caller.
func readHeader(in *lines, most int64, stop func([]byte) bool) (header, *headerFault, error) {
	var h header
	var first *headerFault
	fault := func(code Code, got, want string) {
		if first == nil {
			first = &headerFault{code, got, want}
		}
	}
	var size int64
	for {
		line, err := in.next()
		if errors.Is(err, io.EOF) {
			fault(Header, "the end of the file", "an empty line after the header fields")
			return h, first, nil
		}
		if err != nil {
			return h, first, err
		}
		if line.whole && stop(line.text) {
			in.back()
			fault(Header, "a boundary among the header fields", "an empty line after the header fields")
			return h, first, nil
		}
		if line.whole && len(bytes.TrimRight(line.text, "\r\n")) == 0 {
			break
		}
		if size += int64(len(line.text)); size > most || !line.whole {
			fault(HeaderTooLarge, "", "at most "+bytesText(most))
			continue
		}
		if reason := h.take(strings.TrimRight(string(line.text), "\r\n")); reason != "" {
			fault(Header, reason, "fields such as Content-Type: application/pdf")
		}
	}
	for _, name := range single {
		if count := countFields(h, name); count > 1 {
			fault(Header, name+" given twice", "one "+name)
		}
	}
	return h, first, nil
}

// take adds a line, and says what is wrong with it, or "".
func (h *header) take(line string) string {
	for _, c := range []byte(line) {
		if c < ' ' && c != '\t' || c == 0x7f {
			return "a control character"
		}
	}
	if line[0] == ' ' || line[0] == '\t' {
		if len(*h) == 0 {
			return "a folded line before any field"
		}
		last := &(*h)[len(*h)-1]
		last.value = strings.TrimSpace(last.value + " " + strings.TrimSpace(line))
		return ""
	}
	name, value, ok := strings.Cut(line, ":")
	if !ok {
		return "a line without colon"
	}
	if !isFieldName(name) {
		return "a malformed field name"
	}
	*h = append(*h, field{strings.ToLower(name), strings.TrimSpace(value)})
	return ""
}

func countFields(h header, name string) int {
	n := 0
	for _, f := range h {
		if f.name == name {
			n++
		}
	}
	return n
}

// isFieldName holds a name against RFC 5322, section 2.2: printable ASCII
// without colon, and no blank before the colon.
func isFieldName(name string) bool {
	if name == "" {
		return false
	}
	for _, c := range []byte(name) {
		if c <= ' ' || c >= 0x7f || c == ':' {
			return false
		}
	}
	return true
}

// mediaType takes a Content-Type apart. The error says what was malformed.
func (h header) mediaType() (string, map[string]string, *headerFault) {
	value := h.get("content-type")
	kind, params, err := mime.ParseMediaType(value)
	if err != nil || !strings.Contains(kind, "/") {
		return "", nil, &headerFault{Header, "Content-Type: " + value, "a media type such as application/pdf"}
	}
	return kind, params, nil
}

// fileName is the name that the sender gave a part (RFC 2183, section 2.3), or
// the older name parameter.
func (h header) fileName(typeParams map[string]string) (string, *headerFault) {
	if value := h.get("content-disposition"); value != "" {
		_, params, err := mime.ParseMediaType(value)
		if err != nil {
			return "", &headerFault{
				Header, "Content-Disposition: " + value, `a form such as attachment; filename="art.pdf"`,
			}
		}
		if name := params["filename"]; name != "" {
			return name, nil
		}
	}
	return typeParams["name"], nil
}

// contentID is the Content-ID without angle brackets, which some senders leave out.
func (h header) contentID() (string, *headerFault) {
	value := h.get("content-id")
	id := strings.TrimSuffix(strings.TrimPrefix(value, "<"), ">")
	if !isContentID(id) && value != "" {
		return "", &headerFault{Header, "Content-ID: " + value, "a form such as <art@example.org>"}
	}
	return id, nil
}

func isContentID(id string) bool {
	return id != "" && !strings.ContainsFunc(id, func(r rune) bool {
		return r <= ' ' || r == 0x7f || r == '<' || r == '>'
	})
}

// lines reads a text a line at a time, and knows where each begins. A line that
// is longer than its buffer comes in pieces.
type lines struct {
	r    sliceReader
	at   int64
	cur  line
	mid  bool // the next piece goes on with a line
	keep bool // give cur once more
}

type sliceReader interface{ ReadSlice(byte) ([]byte, error) }

// line is a line with its end, or a piece of one. The text is good until the
// next call.
type line struct {
	at    int64
	text  []byte
	begin bool // it starts at the start of a line
	whole bool // it starts and ends as a line does; the last line may lack its end
}

func (l *lines) next() (line, error) {
	if l.keep {
		l.keep = false
		return l.cur, nil
	}
	text, err := l.r.ReadSlice('\n')
	if len(text) == 0 {
		return line{}, err
	}
	ended := text[len(text)-1] == '\n' || errors.Is(err, io.EOF)
	l.cur = line{at: l.at, text: text, begin: !l.mid, whole: !l.mid && ended}
	l.at += int64(len(text))
	l.mid = !ended
	return l.cur, nil
}

// back makes the next call give the same line again.
func (l *lines) back() { l.keep = true }
