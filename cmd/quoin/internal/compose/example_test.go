package compose_test

import (
	"fmt"
	"os"
	"time"

	"quoin/cmd/quoin/internal/compose"
	"quoin/jdf"
)

func Example() {
	e := compose.New(compose.Options{
		Version: jdf.LastXJDF, Sender: "saltmarsh", NewID: numbered(),
		Clock: func() time.Time { return time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC) },
	})
	e.Ask(compose.Question{
		Type: "Status", Tell: &compose.Subscription{URL: "https://office.example/xjmf", RepeatTime: time.Minute},
	})
	body, err := e.Bytes()
	if err != nil {
		fmt.Println(err)
	}
	os.Stdout.Write(body)
	// Output:
	// <?xml version="1.0" encoding="UTF-8"?>
	// <XJMF xmlns="http://www.CIP4.org/JDFSchema_2_0" Version="2.3">
	//   <Header AgentName="Quoin" DeviceID="saltmarsh" ID="M1" Time="2026-11-25T12:00:00Z"/>
	//   <QueryStatus>
	//     <Header AgentName="Quoin" DeviceID="saltmarsh" ID="M2" Time="2026-11-25T12:00:00Z"/>
	//     <Subscription RepeatTime="60" URL="https://office.example/xjmf"/>
	//   </QueryStatus>
	// </XJMF>
}

// numbered makes IDs that are the same in every run.
func numbered() func() string {
	n := 0
	return func() string { n++; return fmt.Sprint("M", n) }
}
