package packages

import (
	"bytes"
	"slices"
	"strings"

	"quoin/jdf"
)

// contentKind is what a file is, by its first bytes.
type contentKind string

// The kinds that are told apart; kindOther is everything else.
const (
	kindTicket     contentKind = "a ticket or message"
	kindPDF        contentKind = "PDF"
	kindJPEG       contentKind = "JPEG"
	kindPNG        contentKind = "PNG"
	kindTIFF       contentKind = "TIFF"
	kindPostScript contentKind = "PostScript"
	kindZIP        contentKind = "ZIP"
	kindOther      contentKind = ""
)

// signatures are the first bytes of files.
// Sources: ISO 32000-2, section 7.5.2 (PDF); ISO/IEC 10918-1, annex B.1 (JPEG);
// PNG specification, section 5.2; TIFF 6.0, section 2; PostScript language
// reference, section 3.3; ZIP file format specification, section 4.3.
var signatures = []struct {
	kind contentKind
	mark string
}{
	{kindPDF, "%PDF-"}, {kindJPEG, "\xff\xd8\xff"}, {kindPNG, "\x89PNG\r\n\x1a\n"}, {kindTIFF, "II*\x00"},
	{kindTIFF, "MM\x00*"}, {kindPostScript, "%!PS"}, {kindZIP, "PK\x03\x04"},
}

// mediaTypes are the media types of a kind (IANA registry).
var mediaTypes = map[contentKind][]string{
	kindPDF: {"application/pdf", "application/x-pdf"}, kindJPEG: {"image/jpeg"}, kindPNG: {"image/png"},
	kindTIFF: {"image/tiff"}, kindPostScript: {"application/postscript"},
	kindZIP: {"application/zip", "application/x-zip-compressed"},
}

// ticketTypes are the registered media types of the standard's documents (IANA registry).
var ticketTypes = map[jdf.Kind]string{
	jdf.KindJDF: "application/vnd.cip4-jdf+xml", jdf.KindJMF: "application/vnd.cip4-jmf+xml",
	jdf.KindXJDF: "application/vnd.cip4-xjdf+xml", jdf.KindXJMF: "application/vnd.cip4-xjmf+xml",
}

// kindOf tells what a file is. A ticket in UTF-16 has a zero byte beside each
// letter of the namespace.
func kindOf(head []byte) contentKind {
	for _, s := range signatures {
		if bytes.HasPrefix(head, []byte(s.mark)) {
			return s.kind
		}
	}
	letters := bytes.ReplaceAll(head, []byte{0}, nil)
	start := bytes.TrimLeft(letters, "\xef\xbb\xbf\xff\xfe \t\r\n")
	if bytes.HasPrefix(start, []byte("<")) && bytes.Contains(letters, []byte("www.CIP4.org/JDFSchema_")) {
		return kindTicket
	}
	return kindOther
}

// typeOf is the kind that a media type names.
func typeOf(mediaType string) contentKind {
	mediaType = strings.ToLower(strings.TrimSpace(mediaType))
	for kind, names := range mediaTypes {
		if slices.Contains(names, mediaType) {
			return kind
		}
	}
	return kindOther
}

// generic reports whether a media type says nothing that could be wrong.
func generic(mediaType string) bool {
	return mediaType == "" || mediaType == "application/octet-stream"
}
