package client_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/wattkeel/wattkeel/client"
	"github.com/wattkeel/wattkeel/openapi"
)

// again is a JSON text after it has been through a type of the client.
func again[T any](text []byte) ([]byte, error) {
	var v T
	if err := json.Unmarshal(text, &v); err != nil {
		return nil, err
	}
	return json.Marshal(v)
}

type through func([]byte) ([]byte, error)

func answers() map[string]through {
	return map[string]through{
		"getLiveness":                 again[client.Health],
		"getReadiness":                again[client.Health],
		"getProblem":                  again[client.ProblemKind],
		"createChargePlan":            again[client.ChargePlan],
		"createPackCheck":             again[client.PackCheck],
		"createRuntimeEstimate":       again[client.RuntimeEstimate],
		"createStoragePlan":           again[client.StoragePlan],
		"createStandingDrainEstimate": again[client.StandingDrainEstimate],
		"listChemistries":             again[client.ChemistryList],
		"getChemistry":                again[client.Chemistry],
		"listRules":                   again[client.RuleList],
		"getRule":                     again[client.Rule],
		"createLabelReading":          again[client.LabelReading],
		"createTransportCheck":        again[client.TransportCheck],
	}
}

func requests() map[string]through {
	return map[string]through{
		"createChargePlan":            again[client.ChargePlanRequest],
		"createPackCheck":             again[client.PackCheckRequest],
		"createRuntimeEstimate":       again[client.RuntimeEstimateRequest],
		"createStoragePlan":           again[client.StoragePlanRequest],
		"createStandingDrainEstimate": again[client.StandingDrainRequest],
		"createLabelReading":          again[client.LabelReadingRequest],
		"createTransportCheck":        again[client.TransportCheckRequest],
	}
}

// Nothing of an example is lost on the way through the client's types.
func TestEveryExampleOfTheDocumentSurvivesTheTypes(t *testing.T) {
	var doc struct {
		Paths map[string]map[string]struct {
			OperationID string `json:"operationId"`
			RequestBody struct {
				Content map[string]struct {
					Examples map[string]struct{ Value json.RawMessage }
				}
			}
			Responses map[string]struct {
				Content map[string]struct {
					Examples map[string]struct{ Value json.RawMessage }
				}
			}
		}
	}
	require.NoError(t, json.Unmarshal(openapi.JSON(), &doc))
	n := 0
	for _, methods := range doc.Paths {
		for _, o := range methods {
			for name, e := range o.RequestBody.Content["application/json"].Examples {
				n++
				survives(t, o.OperationID+" request "+name, requests()[o.OperationID], e.Value)
			}
			for status, r := range o.Responses {
				for media, content := range r.Content {
					check := through(again[client.Problem])
					switch media {
					case "application/problem+json":
					case "application/json":
						check = answers()[o.OperationID]
					default:
						continue // no JSON
					}
					for name, e := range content.Examples {
						n++
						survives(t, o.OperationID+" "+status+" "+name, check, e.Value)
					}
				}
			}
		}
	}
	require.GreaterOrEqual(t, n, 24)
}

func survives(t *testing.T, name string, check through, text []byte) {
	t.Run(name, func(t *testing.T) {
		require.NotNil(t, check, "say which type this is")
		out, err := check(text)
		require.NoError(t, err)
		assert.JSONEq(t, string(text), string(out))
	})
}

// The comparison can fail: a type that lacks a member loses it.
func TestAMemberThatIsLostIsNoticed(t *testing.T) {
	out, err := again[struct {
		Status string `json:"status"`
	}]([]byte(`{"status":"ok","more":[]}`))
	require.NoError(t, err)
	assert.False(t, assert.JSONEq(new(testing.T), `{"status":"ok","more":[]}`, string(out)))
	kept, err := again[client.Pack]([]byte(`{"chemistry":"lipo","cells_series":3,"capacity_mah":2200,"condition":[]}`))
	require.NoError(t, err)
	assert.JSONEq(t, `{"chemistry":"lipo","cells_series":3,"capacity_mah":2200,"condition":[]}`, string(kept))
}
