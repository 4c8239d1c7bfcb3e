package spec

import (
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The library's own RFC 8785 form, reached by another road, is the reference.
func TestCanonicalAgreesWithLibrary(t *testing.T) {
	c := NewCanonical(&Pack{})
	rapid.Check(t, func(t *rapid.T) {
		number := rapid.Float64Range(-1e25, 1e25)
		small := rapid.Float64Range(-1e-5, 1e-5)
		p := Pack{
			ID:            rapid.String().Draw(t, "id"),
			Chemistry:     LiPo,
			CellsSeries:   rapid.Int().Draw(t, "cells"),
			CapacityMAh:   number.Draw(t, "capacity"),
			CellVoltagesV: rapid.SliceOfN(small, 0, 3).Draw(t, "volts"),
			Condition:     rapid.SliceOfN(rapid.Just(Swollen), 0, 2).Draw(t, "condition"),
		}
		if rapid.Bool().Draw(t, "more") {
			z, n := small.Draw(t, "percent"), rapid.Int().Draw(t, "gauge")
			p.ChargePercent, p.MainLead = &z, &MainLead{WireAWG: &n}
		}
		want, err := json.Marshal(&p)
		require.NoError(t, err)
		v := jsontext.Value(want)
		require.NoError(t, v.Canonicalize())
		assert.Equal(t, string(v), string(c.Append(nil, &p)))
	})
}
