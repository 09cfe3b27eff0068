package pack

import (
	"fmt"
	"strconv"
)

// Code names one way in which bytes fail to be a package that can be trusted.
// Codes are stable.
type Code string

// The problems that opening and reading a package can find.
const (
	Damaged          Code = "damaged"           // not the container it starts as, or cut off
	TooLarge         Code = "too-large"         // over Limits.MaxBytes
	TooManyParts     Code = "too-many-parts"    // over Limits.MaxParts
	PartTooLarge     Code = "part-too-large"    // over Limits.MaxPartBytes
	TotalTooLarge    Code = "total-too-large"   // over Limits.MaxTotal
	Bomb             Code = "bomb"              // over Limits.MaxRatio, or parts that share their bytes
	UnsafePath       Code = "unsafe-path"       // a name that could lead out of the package
	DuplicateName    Code = "duplicate-name"    // two parts of one name, case aside
	DuplicateID      Code = "duplicate-id"      // two parts of one Content-ID
	Link             Code = "link"              // a symbolic link, device or the like
	Encrypted        Code = "encrypted"         // a part under a password
	Method           Code = "method"            // a packing method other than stored and deflated
	PartDamaged      Code = "part-damaged"      // a part whose bytes are not what the package says
	Header           Code = "header"            // a malformed MIME header
	HeaderTooLarge   Code = "header-too-large"  // over Limits.MaxHeader
	NotRelated       Code = "not-related"       // a MIME message other than multipart/related
	Boundary         Code = "boundary"          // a boundary that is missing or malformed
	Truncated        Code = "truncated"         // no closing boundary
	TransferEncoding Code = "transfer-encoding" // an unknown Content-Transfer-Encoding
	Start            Code = "start"             // a start parameter that names no part
	Nested           Code = "nested"            // a package inside the package; it is not followed
	NoParts          Code = "no-parts"          // nothing inside
)

// Codes lists the codes in the order of their declaration.
func Codes() []Code {
	return []Code{
		Damaged, TooLarge, TooManyParts, PartTooLarge, TotalTooLarge, Bomb, UnsafePath, DuplicateName, DuplicateID,
		Link, Encrypted, Method, PartDamaged, Header, HeaderTooLarge, NotRelated, Boundary, Truncated,
		TransferEncoding, Start, Nested, NoParts,
	}
}

// Problem is one thing wrong with a package.
type Problem struct {
	Code   Code
	Part   *Part  // the part it is about; nil for the package as a whole
	Got    string // what is there
	Want   string // what was wanted instead, or the limit
	Offset int64  // byte offset in the package, where it is known; else 0
}

// Error puts the problem in words.
func (p Problem) Error() string {
	text := string(p.Code)
	if p.Part != nil {
		text = p.Part.Label() + ": " + text
	}
	if p.Got != "" {
		text += fmt.Sprintf(": got %q", p.Got)
	}
	if p.Want != "" {
		text += "; want " + p.Want
	}
	return text
}

func bytesText(n int64) string { return strconv.FormatInt(n, 10) + " bytes" }
