package postgrestest_test

import (
	"database/sql"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/postgrestest"
)

// What was committed has to be there after the server was killed; that is what
// the tests of others build on.
func TestServer(t *testing.T) {
	server := postgrestest.Start(t)
	address := server.Database(t)
	require.NotEqual(t, address, server.Database(t), "each gets its own")
	db, err := sql.Open("pgx", address)
	require.NoError(t, err)
	defer db.Close()
	_, err = db.Exec("CREATE TABLE kept (n BIGINT); INSERT INTO kept VALUES (17)")
	require.NoError(t, err)
	server.Kill(t)
	_, err = db.Exec("INSERT INTO kept VALUES (18)")
	require.Error(t, err)
	server.Restart(t)
	n := 0
	require.NoError(t, db.QueryRow("SELECT SUM(n) FROM kept").Scan(&n))
	require.Equal(t, 17, n)
}
