package render

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/charge"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/runtime"
	"github.com/wattkeel/wattkeel/service/spec"
	"github.com/wattkeel/wattkeel/service/storage"
)

func TestMain(m *testing.M) {
	flag.Bool("update", false, "write the texts instead of comparing them")
	flag.Parse()
	os.Exit(m.Run())
}

func updating() bool { return flag.Lookup("update").Value.String() == "true" }

// ask reads a request and makes sure that it is one.
func ask[Req any](t testing.TB, file string) *Req {
	t.Helper()
	body, err := os.ReadFile(file)
	require.NoError(t, err)
	q := new(Req)
	require.NoError(t, json.Unmarshal(body, q, json.RejectUnknownMembers(true)))
	require.Empty(t, spec.NewValidator().Validate(q))
	return q
}

// golden holds the text of every request in a folder against the file beside it.
// With -update it writes the texts: read them aloud.
func golden[Req, Ans any](t *testing.T, folder string, least int, answer func(*Req) Ans, text func(Ans) ([]byte, error)) {
	files, err := filepath.Glob(filepath.Join("testdata", folder, "*.json"))
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(files), least)
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			got, err := text(answer(ask[Req](t, file)))
			require.NoError(t, err)
			beside := strings.TrimSuffix(file, ".json") + ".txt"
			if updating() {
				require.NoError(t, os.WriteFile(beside, got, 0o600))
			}
			want, err := os.ReadFile(beside)
			require.NoError(t, err)
			assert.Equal(t, string(want), string(got))
		})
	}
}

func TestChargePlansReadAsTheyDid(t *testing.T) {
	golden(t, "charge", 11, charge.NewPlanner(cell.NewTable(), rule.All()).Plan, ChargePlanText)
}

func TestRuntimeEstimatesReadAsTheyDid(t *testing.T) {
	golden(t, "runtime", 6, runtime.NewEstimator(cell.NewTable(), rule.All()).Estimate, RuntimeEstimateText)
}

func TestStoragePlansReadAsTheyDid(t *testing.T) {
	chargers := charge.NewPlanner(cell.NewTable(), rule.All())
	golden(t, "storage", 8, storage.NewPlanner(cell.NewTable(), rule.All(), chargers).Plan, StoragePlanText)
}
