package convert_test

import (
	"fmt"
	"strings"
	"time"

	"quoin/convert"
	"quoin/jdf"
)

// A JDF of one process becomes one XJDF; what has no place there is listed.
func Example() {
	doc, _, _ := jdf.Read("cut.jdf", strings.NewReader(`<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1"
  ID="n1" Type="Cutting" Status="Waiting" JobID="SPW-3" JobPartID="cut" Version="1.9" MaxVersion="1.9">
  <ResourcePool>
    <Component ID="c1" Class="Quantity" ComponentType="Sheet" Status="Available" Dimensions="2000 1400 0"/>
  </ResourcePool>
  <ResourceLinkPool><ComponentLink rRef="c1" Usage="Input" Amount="500"/></ResourceLinkPool>
</JDF>`), jdf.Limits{})
	r, err := convert.To([]*jdf.Document{doc}, jdf.KindXJDF, convert.Options{
		Clock: func() time.Time { return time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC) },
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(r.Outputs[0].Name)
	for l := range r.Losses() {
		if l.Outcome == convert.Lost {
			fmt.Println(l.Path(), l.Reason)
		}
	}
	// Output:
	// SPW-3.cut.xjdf
	// /JDF/@ID a ticket has no ID there; JobID and JobPartID name it
	// /JDF/@MaxVersion a ticket names only its own version there
	// /JDF/ResourcePool/Component/@ComponentType what kind of thing a component is follows from its use there
}
