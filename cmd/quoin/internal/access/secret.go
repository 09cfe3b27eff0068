package access

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"unicode"
)

// shortest is the fewest characters of a token.
const shortest = 16

// ErrPlain says that a secret was written where only its place belongs.
var ErrPlain = errors.New("a secret is given by its place, env:NAME or file:PATH")

// Secret reads a secret from where it is kept: env:NAME or file:PATH, a path
// being relative to a folder. White space around it is left out.
func Secret(from, folder string) (string, error) {
	kind, place, _ := strings.Cut(from, ":")
	var text string
	switch kind {
	case "env":
		var ok bool
		if text, ok = os.LookupEnv(place); !ok {
			return "", fmt.Errorf("the environment has no %s", place)
		}
	case "file":
		if !filepath.IsAbs(place) {
			place = filepath.Join(folder, place)
		}
		data, err := os.ReadFile(place)
		if err != nil {
			return "", err
		}
		text = string(data)
	default:
		return "", ErrPlain
	}
	text = strings.TrimSpace(text)
	if len(text) < shortest {
		return "", fmt.Errorf("it has %d characters, want %d or more", len(text), shortest)
	}
	if strings.ContainsFunc(text, func(r rune) bool { return unicode.IsSpace(r) || !unicode.IsPrint(r) || r > 0x7e }) {
		return "", errors.New("it has spaces, lines or characters beyond ASCII, which headers cannot carry")
	}
	return text, nil
}
