package contract

import (
	"crypto/sha256"
	"encoding/hex"
	"os"
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Anyone can recompute a plan's id from what was sent and what came back: the
// SHA-256 of the canonical JSON (RFC 8785) of the request and the versions.
// Here by the library's canonical form, not ours.
func TestPlanIDCanBeRecomputedByAnybody(t *testing.T) {
	request, err := os.ReadFile("testdata/readme-request.json")
	require.NoError(t, err)
	var answer struct {
		Versions jsontext.Value `json:"versions"`
		PlanID   string         `json:"plan_id"`
		Rest     jsontext.Value `json:",unknown"`
	}
	require.NoError(t, json.Unmarshal(post(t, "/v1/charge-plans", request), &answer))
	identity := jsontext.Value(`{"versions":` + string(answer.Versions) + `,"request":` + string(request) + `}`)
	require.NoError(t, identity.Canonicalize())
	sum := sha256.Sum256(identity)
	assert.Equal(t, hex.EncodeToString(sum[:]), answer.PlanID)
}
