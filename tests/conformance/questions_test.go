package conformance

import (
	"encoding/json"
	"net/http"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/wattkeel/wattkeel/openapi/conform"
)

const (
	plans  = "/v1/charge-plans"
	checks = "/v1/pack-checks"
	runs   = "/v1/runtime-estimates"
	stores = "/v1/storage-plans"
	drains = "/v1/standing-drain-estimates"
	labels = "/v1/label-readings"
	moves  = "/v1/transport-checks"
)

// posed is a question that is asked with a document. A new endpoint that takes a
// body has its entry here, and a target in fuzz_test.go.
type posed struct {
	row    string // the name by which the rows of the rules ask it, if they do
	target string // its fuzz target
	sound  string // a sound request, for changes to begin with
}

func questions() map[string]posed {
	const pack = `"pack":{"chemistry":"lipo","cells_series":3,"capacity_mah":2200}`
	const charger = `"charger":{"chemistries":["lipo","nimh"],"cells_series_min":1,"cells_series_max":6,"max_charge_current_a":6,"balance":"with_main_lead"}`
	return map[string]posed{
		plans:  {row: "charge-plan", target: "FuzzChargePlan", sound: `{` + pack + `,` + charger + `}`},
		checks: {row: "pack-check", target: "FuzzPackCheck", sound: `{` + pack + `,` + charger + `}`},
		runs:   {row: "runtime-estimate", target: "FuzzRuntimeEstimate", sound: `{` + pack + `,"load":{"kind":"constant_current","current_a":5}}`},
		stores: {row: "storage-plan", target: "FuzzStoragePlan", sound: `{` + pack + `,` + charger + `}`},
		drains: {row: "standing-drain", target: "FuzzStandingDrain", sound: `{` + pack + `,"drains":[{"current_ma":5}]}`},
		moves:  {row: "transport-check", target: "FuzzTransportCheck", sound: `{"packs":[{"chemistry":"lipo","cells_series":3,"capacity_mah":2200}],"mode":"air_carry_on"}`},
		labels: {target: "FuzzLabelReading", sound: `{"text":"LiPo 3S 2200mAh"}`},
	}
}

// Every operation that takes a body has its entry.
func TestEveryQuestionIsPosed(t *testing.T) {
	for _, o := range operations() {
		if o.body != nil {
			require.Contains(t, questions(), o.path)
		}
	}
}

// postJSON asks with a body.
func postJSON(t conform.TB, path string, body []byte) (status int, answer []byte) {
	t.Helper()
	w := ask(t, &question{method: http.MethodPost, path: path, header: http.Header{"Content-Type": {"application/json"}}, body: body})
	return w.Code, w.Body.Bytes()
}

// changed is a sound request with a JSON Merge Patch (RFC 7396) applied.
func changed(t *testing.T, path, change string) []byte {
	t.Helper()
	var document, patch any
	require.NoError(t, json.Unmarshal([]byte(questions()[path].sound), &document))
	require.NoError(t, json.Unmarshal([]byte(change), &patch))
	body, err := json.Marshal(mergePatch(document, patch))
	require.NoError(t, err)
	return body
}
