package xsd

// Stream makes the schema check documents of any size as it checks large ones.
func (s *Schema) Stream() { s.large = 0 }

// LargeRule is the id of the finding that says so.
var LargeRule = ruleLarge.ID
