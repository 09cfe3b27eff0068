package value_test

import (
	"fmt"

	"quoin/jdf/value"
)

func Example() {
	start, _ := value.ParseDateTime("2024-01-31T08:00:00Z")
	month, _ := value.ParseDuration("P1M")
	fmt.Println(start.Plus(month))

	pages, _ := value.ParseIntegerRangeList("0 ~ 2 -1")
	fmt.Println(pages.Resolve(8), pages.XJDFString())

	_, err := value.ParseDuration("P1W")
	fmt.Println(err)
	// Output:
	// 2024-02-29T08:00:00Z
	// [0 1 2 7] 0 2 -1 -1
	// "P1W" is not a duration; want a form such as PT1H30M
}
