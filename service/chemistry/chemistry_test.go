package chemistry

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/spec"
)

// The curve that is served is the one the solver uses, sample by sample.
func TestServedCurveIsTheSolversOwn(t *testing.T) {
	table := cell.NewTable()
	for _, d := range All(table).Chemistries {
		curve := table.Get(d.Name).Curve
		if curve == nil {
			assert.Equal(t, spec.NiMH, d.Name)
			assert.Empty(t, d.OpenCircuit)
			assert.NotNil(t, d.OpenCircuit, "an empty list, not null")
			assert.NotEmpty(t, d.OpenCircuitNote, "it says why")
			continue
		}
		require.Len(t, d.OpenCircuit, curve.Len())
		for i, s := range d.OpenCircuit {
			assert.InDelta(t, s.CellV, curve.Voltage(s.ChargePercent/100), 1e-6)
			if i > 0 {
				assert.Greater(t, s.ChargePercent, d.OpenCircuit[i-1].ChargePercent)
				assert.Greater(t, s.CellV, d.OpenCircuit[i-1].CellV)
			}
		}
	}
}

func TestEveryValueNamesItsSource(t *testing.T) {
	for _, d := range All(cell.NewTable()).Chemistries {
		for _, field := range []string{"nominal_cell_v", "loaded_floor_cell_v", "default_charge_c_rate", "typical_mohm_ah"} {
			assert.True(t, slices.ContainsFunc(d.Sources, func(s Sourced) bool { return s.Field == field }), "%s %s", d.Name, field)
		}
		for _, s := range d.Sources {
			assert.NotEmpty(t, s.Source.Title, "%s %s", d.Name, s.Field)
			assert.Contains(t, spec.Standard.Enum(), string(s.Source.Kind))
		}
		for _, z := range d.ChargeTemperatureDegC {
			assert.NotEmpty(t, z.Source.Title)
		}
	}
}

// From coldest to warmest without a gap, forbidden at both ends.
func TestTemperatureZonesJoin(t *testing.T) {
	for _, d := range All(cell.NewTable()).Chemistries {
		z := d.ChargeTemperatureDegC
		require.NotEmpty(t, z)
		assert.Nil(t, z[0].FromDegC)
		assert.Zero(t, *z[0].MaxChargeCRate)
		last := z[len(z)-1]
		assert.Nil(t, last.ToDegC)
		assert.Zero(t, *last.MaxChargeCRate)
		for i := 1; i < len(z); i++ {
			assert.Equal(t, *z[i-1].ToDegC, *z[i].FromDegC)
		}
	}
}
