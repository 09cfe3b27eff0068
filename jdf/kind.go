package jdf

import (
	"fmt"
	"strconv"
	"strings"
)

// The namespaces of the standard, and those of XML that a reader must know.
const (
	NamespaceJDF  = "http://www.CIP4.org/JDFSchema_1_1"
	NamespaceXJDF = "http://www.CIP4.org/JDFSchema_2_0"
	NamespaceXSI  = "http://www.w3.org/2001/XMLSchema-instance"
	NamespaceXML  = "http://www.w3.org/XML/1998/namespace"

	namespaceXMLNS = "http://www.w3.org/2000/xmlns/"
)

// Kind says what a document is, by the namespace and name of its root.
type Kind uint8

// The kinds of document.
const (
	KindUnknown Kind = iota // no root, or a root that is none of the standard's
	KindJDF                 // a JDF 1.x ticket
	KindJMF                 // a JMF message
	KindXJDF                // an XJDF 2.x ticket
	KindXJMF                // an XJMF message
)

// String is the name of the root element of the kind.
func (k Kind) String() string {
	return [...]string{"unknown", "JDF", "JMF", "XJDF", "XJMF"}[k]
}

// Message reports whether the kind is a message rather than a ticket.
func (k Kind) Message() bool { return k == KindJMF || k == KindXJMF }

// First reports whether the kind belongs to the 1.x generation.
func (k Kind) First() bool { return k == KindJDF || k == KindJMF }

// Second reports whether the kind belongs to the 2.x generation.
func (k Kind) Second() bool { return k == KindXJDF || k == KindXJMF }

// kindOf tells documents apart by their root and nothing else: file names lie.
func kindOf(root Name) Kind {
	switch root {
	case Name{NamespaceJDF, "JDF"}:
		return KindJDF
	case Name{NamespaceJDF, "JMF"}:
		return KindJMF
	case Name{NamespaceXJDF, "XJDF"}:
		return KindXJDF
	case Name{NamespaceXJDF, "XJMF"}:
		return KindXJMF
	}
	return KindUnknown
}

// Name is an expanded XML name.
type Name struct {
	Space, Local string
}

// String writes the name as {namespace}local, or local alone without namespace.
func (n Name) String() string {
	if n.Space == "" {
		return n.Local
	}
	return "{" + n.Space + "}" + n.Local
}

// Version is a version of the standard, such as 1.3 or 2.1. The zero Version
// says that none is known.
type Version struct {
	Major, Minor uint8
}

// ParseVersion reads "1.3". The error says what was wanted.
func ParseVersion(s string) (Version, error) {
	major, minor, found := strings.Cut(strings.TrimSpace(s), ".")
	a, errA := strconv.ParseUint(major, 10, 8)
	b, errB := strconv.ParseUint(minor, 10, 8)
	if !found || errA != nil || errB != nil || len(minor) > 1 && minor[0] == '0' {
		return Version{}, fmt.Errorf("%q is not a version; want a form such as 1.4", s)
	}
	return Version{uint8(a), uint8(b)}, nil
}

// IsZero reports whether the version is not known.
func (v Version) IsZero() bool { return v == Version{} }

// String writes "1.3", or "" for the zero Version.
func (v Version) String() string {
	if v.IsZero() {
		return ""
	}
	return strconv.Itoa(int(v.Major)) + "." + strconv.Itoa(int(v.Minor))
}

// Compare orders versions; the result is negative, zero or positive.
func (v Version) Compare(w Version) int {
	return (int(v.Major)<<8 | int(v.Minor)) - (int(w.Major)<<8 | int(w.Minor))
}

// The versions of the standard that Quoin knows, first and last of each generation.
var (
	FirstJDF  = Version{1, 0}
	LastJDF   = Version{1, 9}
	FirstXJDF = Version{2, 0}
	LastXJDF  = Version{2, 3}
)

// Known reports whether the version is one of the generation's.
func (k Kind) Known(v Version) bool {
	switch {
	case k.First():
		return v.Compare(FirstJDF) >= 0 && v.Compare(LastJDF) <= 0
	case k.Second():
		return v.Compare(FirstXJDF) >= 0 && v.Compare(LastXJDF) <= 0
	}
	return false
}
