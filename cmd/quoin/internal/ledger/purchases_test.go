package ledger_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/ledger"
	"quoin/convert/cost/account"
)

func purchases(t *testing.T, text string) ([]account.Purchase, []string) {
	t.Helper()
	all, found, err := ledger.ReadPurchases("bought.csv", strings.NewReader(text))
	require.NoError(t, err)
	var words []string
	for _, f := range found {
		pos := f.Place.Pos()
		words = append(words, fmt.Sprintf("%s:%d:%d %s", f.Place.File(), pos.Line, pos.Column, f.Message()))
	}
	return all, words
}

func TestReadPurchases(t *testing.T) {
	all, words := purchases(t, "\ufeffDate,Job,What,Amount,Part,Supplier\n"+
		"2026-03-02,SM-1,\"foil, gold\",120.50,cover,Harbour Foils\n,SM-2,die,80\n")
	require.Empty(t, words)
	require.Len(t, all, 2)
	require.Equal(t, "foil, gold", all[0].What)
	require.Equal(t, "120.5 cover 2026-03-02 Harbour Foils", strings.Join(
		[]string{all[0].Cost.String(), all[0].Part, all[0].Day, all[0].Supplier}, " "))
	require.Equal(t, 3, all[1].Source.Line)
}

func TestReadPurchasesFinds(t *testing.T) {
	for text, want := range map[string]string{
		"":                                 `bought.csv:1:1 the first line of a list of purchases names its columns`,
		"job,amount\n":                     `names its columns, got "job,amount", want also what`,
		"job,what,amount,colour\n":         `1:17 the first line of a list of purchases names its columns, got "colour"`,
		"job,what,amount\nA,foil,12 EUR\n": `bought.csv:2:8 amount of the purchase is "12 EUR", want an amount`,
		"job,what,amount\n,foil,12\n":      `bought.csv:2:1 job of the purchase is "", want a word`,
		"job,what,amount\nA,foil\n":        `bought.csv:2:3 amount of the purchase is ""`,
		"job,what,amount,date\nA,foil,1,2.3.26\n": `bought.csv:2:10 date of the purchase is "2.3.26"`,
		"job,what,amount\nA,\"foil,1\n":           `bought.csv:`,
	} {
		all, words := purchases(t, text)
		require.Empty(t, all, text)
		require.Len(t, words, 1, text)
		require.Contains(t, words[0], want, text)
	}
}

// A list that is taken twice counts once, and stands in the books of its job.
func TestTakePurchases(t *testing.T) {
	l := open(t, saltmarsh(t))
	all, _ := purchases(t, "job,what,amount,date\nSM-1,foil,120.50,2026-03-02\nSM-2,die,80,2026-04-01\n")
	for _, want := range []ledger.Count{{New: 2}, {Known: 2}} {
		done, err := l.TakePurchases(t.Context(), all)
		require.NoError(t, err)
		require.Equal(t, want, done)
	}
	books, err := l.Books(t.Context(), ledger.Filter{})
	require.NoError(t, err)
	s, _ := account.Make(books, account.ByMonth, account.Filter{})
	require.Equal(t, "200.5", s.Total.Actual.Purchases.String())
	require.Len(t, s.Rows, 2)
	require.Equal(t, "120.5", s.Rows[0].Actual.Purchases.String())
}
