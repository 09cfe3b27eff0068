package value

// The ranges of JDF 1.x, and lists of them. Those of numbers, instants and durations may be open: INF, and -INF for
// all but durations, stand for a bound.
type (
	NumberRange        = Range[float64]
	NumberRangeList    = RangeList[float64]
	XYPairRange        = Range[XYPair]
	XYPairRangeList    = RangeList[XYPair]
	ShapeRange         = Range[Shape]
	ShapeRangeList     = RangeList[Shape]
	RectangleRange     = Range[Rectangle]
	RectangleRangeList = RangeList[Rectangle]
	DateTimeRange      = Range[DateTime]
	DateTimeRangeList  = RangeList[DateTime]
	DurationRange      = Range[Duration]
	DurationRangeList  = RangeList[Duration]
	NameRange          = Range[string]
	NameRangeList      = RangeList[string]
	TimeRange          = Range[TimeOfDay]
)

// ParseNumberRange reads a range of numbers such as 0.5 ~ INF; errors as for [ParseRange].
func ParseNumberRange(s string) (NumberRange, error) { return ParseRange(s, ParseDouble, 1) }

// ParseNumberRangeList reads ranges of numbers; errors as for [ParseRangeList].
func ParseNumberRangeList(s string) (NumberRangeList, error) {
	return ParseRangeList(s, ParseDouble, 1)
}

// ParseXYPairRange reads a range of pairs such as 1 2 ~ 3 4; errors as for [ParseRange].
func ParseXYPairRange(s string) (XYPairRange, error) { return ParseRange(s, ParseXYPair, 2) }

// ParseXYPairRangeList reads ranges of pairs; errors as for [ParseRangeList].
func ParseXYPairRangeList(s string) (XYPairRangeList, error) {
	return ParseRangeList(s, ParseXYPair, 2)
}

// ParseShapeRange reads a range of shapes such as 1 2 3 ~ 4 5 6; errors as for [ParseRange].
func ParseShapeRange(s string) (ShapeRange, error) { return ParseRange(s, ParseShape, 3) }

// ParseShapeRangeList reads ranges of shapes; errors as for [ParseRangeList].
func ParseShapeRangeList(s string) (ShapeRangeList, error) { return ParseRangeList(s, ParseShape, 3) }

// ParseRectangleRange reads a range of rectangles, four numbers each; errors as for [ParseRange].
func ParseRectangleRange(s string) (RectangleRange, error) { return ParseRange(s, ParseRectangle, 4) }

// ParseRectangleRangeList reads ranges of rectangles; errors as for [ParseRangeList].
func ParseRectangleRangeList(s string) (RectangleRangeList, error) {
	return ParseRangeList(s, ParseRectangle, 4)
}

// ParseDateTimeRange reads a range of instants; errors as for [ParseRange].
func ParseDateTimeRange(s string) (DateTimeRange, error) { return ParseRange(s, ParseDateTimeOrINF, 1) }

// ParseDateTimeRangeList reads ranges of instants; errors as for [ParseRangeList].
func ParseDateTimeRangeList(s string) (DateTimeRangeList, error) {
	return ParseRangeList(s, ParseDateTimeOrINF, 1)
}

// ParseDurationRange reads a range of durations; errors as for [ParseRange].
func ParseDurationRange(s string) (DurationRange, error) { return ParseRange(s, ParseDurationOrINF, 1) }

// ParseDurationRangeList reads ranges of durations; errors as for [ParseRangeList].
func ParseDurationRangeList(s string) (DurationRangeList, error) {
	return ParseRangeList(s, ParseDurationOrINF, 1)
}

// ParseNameRange reads a range of names such as a ~ f; errors as for [ParseRange].
func ParseNameRange(s string) (NameRange, error) { return ParseRange(s, ParseNMTOKEN, 1) }

// ParseNameRangeList reads ranges of names; errors as for [ParseRangeList].
func ParseNameRangeList(s string) (NameRangeList, error) { return ParseRangeList(s, ParseNMTOKEN, 1) }

// ParseTimeRange reads a range of times on the clock; errors as for [ParseRange].
func ParseTimeRange(s string) (TimeRange, error) { return ParseRange(s, ParseTimeOfDay, 1) }
