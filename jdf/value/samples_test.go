package value_test

import (
	"encoding/xml"
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf/value"
	"quoin/testdata/standard"
)

// exampleSpace is the namespace of the elements that show a type in the samples.
const exampleSpace = "http://www.CIP4.org/EncodingExamples"

// sampleTypes gives what must read each attribute shown in a sample.
func sampleTypes() map[string]func(string) bool {
	return map[string]func(string) bool{
		"simpleType_CMYKColor.jdf": func(s string) bool {
			colour, err := value.ParseCMYKColor(s)
			return err == nil && colour.Check() == nil
		},
		"simpleType_IntegerList.jdf": parses(func(s string) ([]int64, error) {
			return value.ParseList(s, value.ParseIntegerOrINF)
		}),
		"simpleType_IntegerRangeList.jdf": parses(value.ParseIntegerRangeList),
		"simpleType_LabColor.jdf": func(s string) bool {
			colour, err := value.ParseLabColor(s)
			return err == nil && colour.Check() == nil
		},
		"simpleType_NMTOKENS.jdf":          value.IsNMTOKENS,
		"simpleType_ShapeRange.jdf":        parses(value.ParseShapeRange),
		"simpleType_URL_EscapedChars.jdf":  value.IsURI,
		"simpleType_URL_Locale1252.jdf":    value.IsURI,
		"simpleType_XYPairRange.jdf":       parses(value.ParseXYPairRange),
		"simpleType_XYPairRangeList.jdf":   parses(value.ParseXYPairRangeList),
		"simpleType_boolean.jdf":           parses(value.ParseBoolean),
		"simpleType_dateTime.jdf":          parses(value.ParseDateTime),
		"simpleType_dateTimeRange.jdf":     parses(value.ParseDateTimeRange),
		"simpleType_dateTimeRangeList.jdf": parses(value.ParseDateTimeRangeList),
		"simpleType_double.jdf":            parses(value.ParseDouble),
		"simpleType_doubleList.jdf": parses(func(s string) ([]float64, error) {
			return value.ParseList(s, value.ParseDouble)
		}),
		"simpleType_doubleRangeList.jdf":   parses(value.ParseNumberRangeList),
		"simpleType_duration.jdf":          parses(value.ParseDuration),
		"simpleType_durationRange.jdf":     parses(value.ParseDurationRange),
		"simpleType_durationRangeList.jdf": parses(value.ParseDurationRangeList),
		"simpleType_hexBinary.jdf":         value.IsHexBinary,
		"simpleType_integer.jdf":           parses(value.ParseInteger),
		"simpleType_language.jdf":          value.IsLanguage,
		"simpleType_languages.jdf":         value.IsLanguages,
		"simpleType_matrix.jdf":            parses(value.ParseMatrix),
		"simpleType_rectangle.jdf": func(s string) bool {
			box, err := value.ParseRectangle(s)
			return err == nil && box.Check() == nil
		},
		"simpleType_shape.jdf": parses(value.ParseShape),
		"transferFunction.jdf": parses(value.ParseTransferFunction),
	}
}

// untyped lists the samples of types whose every text is a value.
func untyped() []string { return []string{"simpleType_XPath.jdf", "simpleType_string.jdf"} }

// Source: the published JDF samples of the simple types, appendix on encoding.
func TestSamplesOfSimpleTypes(t *testing.T) {
	dir := filepath.Join(standard.Dir(t), "jdf", "samples", "ap_encoding")
	files, err := filepath.Glob(filepath.Join(dir, "simpleType_*.jdf"))
	require.NoError(t, err)
	types := sampleTypes()
	require.Len(t, files, len(types)-1+len(untyped()), "a sample without its type, or the reverse")
	values := 0
	for name, accepts := range types {
		shown := shownValues(t, filepath.Join(dir, name))
		require.NotEmpty(t, shown, name)
		for _, text := range shown {
			require.True(t, accepts(text), "%s: %q", name, text)
		}
		values += len(shown)
	}
	require.GreaterOrEqual(t, values, 37)
}

// shownValues gives the values of all attributes of the example elements.
func shownValues(t *testing.T, path string) []string {
	t.Helper()
	file, err := os.Open(path)
	require.NoError(t, err)
	defer file.Close()
	var values []string
	for decoder := xml.NewDecoder(file); ; {
		token, err := decoder.Token()
		if errors.Is(err, io.EOF) {
			return values
		}
		require.NoError(t, err, path)
		if start, ok := token.(xml.StartElement); ok && start.Name.Space == exampleSpace {
			for _, attribute := range start.Attr {
				values = append(values, attribute.Value)
			}
		}
	}
}
