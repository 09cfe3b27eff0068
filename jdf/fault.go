package jdf

// FaultCode names one way in which bytes fail to be the XML that tickets are
// written in. Codes are stable.
type FaultCode string

// The faults that reading can find.
const (
	FaultEncoding           FaultCode = "encoding"            // bytes that are not what the encoding says
	FaultEncodingUnknown    FaultCode = "encoding-unknown"    // an encoding that is not read
	FaultTooLarge           FaultCode = "too-large"           // over Limits.MaxBytes
	FaultTooDeep            FaultCode = "too-deep"            // over Limits.MaxDepth
	FaultTooMany            FaultCode = "too-many"            // names, attributes or faults; Got says which
	FaultDTD                FaultCode = "dtd"                 // a document type declaration
	FaultEntity             FaultCode = "entity"              // an entity other than XML's five
	FaultReference          FaultCode = "reference"           // a bare & or a malformed reference
	FaultCharacter          FaultCode = "character"           // a character that XML does not allow
	FaultDeclaration        FaultCode = "declaration"         // a malformed XML declaration
	FaultName               FaultCode = "name"                // a malformed name
	FaultSyntax             FaultCode = "syntax"              // markup that is not XML
	FaultTag                FaultCode = "mismatched-tag"      // an end tag that closes nothing
	FaultTruncated          FaultCode = "truncated"           // the end of the file inside something
	FaultNotXML             FaultCode = "not-xml"             // a file of another kind; Got says which
	FaultNoRoot             FaultCode = "no-root"             // no element at all
	FaultSecondRoot         FaultCode = "second-root"         // an element after the root
	FaultOutside            FaultCode = "outside-root"        // text before or after the root
	FaultDuplicateAttribute FaultCode = "duplicate-attribute" // twice the same attribute
	FaultUnboundPrefix      FaultCode = "unbound-prefix"      // a prefix without declaration
	FaultNamespace          FaultCode = "namespace"           // a declaration that may not be made
)

// Fault is one thing wrong with the bytes of a document.
type Fault struct {
	Code    FaultCode
	Place   Place
	Got     string // what stands there
	Want    string // what was expected instead, or the limit
	Related Place  // the other end, such as the start tag; may be unknown
}
