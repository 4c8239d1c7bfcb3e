package cell

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// Voltage and Charge are each other's inverse to the last digits, on every
// curve and below charge 0 as well.
func TestChargeInvertsVoltage(t *testing.T) {
	for _, c := range NewTable().All() {
		if c.Curve == nil {
			continue
		}
		rapid.Check(t, func(t *rapid.T) {
			z := rapid.Float64Range(-0.05, 1).Draw(t, "charge")
			assert.InDelta(t, z, c.Curve.Charge(c.Curve.Voltage(z)), 1e-11, c.Name)
		})
	}
}

// Integral against a midpoint sum of a million strips, which a linear piece
// makes exact but for the strips that hold a breakpoint: 1e-8.
func TestIntegralAgreesWithAFineSum(t *testing.T) {
	for _, c := range NewTable().All() {
		if c.Curve == nil {
			continue
		}
		const n = 1000000
		from, to, sum := -0.02, 0.93, 0.0
		for i := range n {
			sum += c.Curve.Voltage(from + (to-from)*(float64(i)+0.5)/n)
		}
		assert.InEpsilon(t, sum*(to-from)/n, c.Curve.Integral(to)-c.Curve.Integral(from), 1e-8, c.Name)
	}
}

func TestNewCurveRefusesATableThatDoesNotRise(t *testing.T) {
	for name, table := range map[string][]Sample{
		"falls": {{0, 3}, {0.5, 2.9}, {1, 4}}, "stands still": {{0, 3}, {0.5, 3}, {1, 4}},
		"begins late": {{0.1, 3}, {1, 4}}, "ends early": {{0, 3}, {0.9, 4}}, "goes back": {{0, 3}, {0.5, 3.5}, {0.4, 3.6}, {1, 4}}, "too short": {{0, 3}},
	} {
		assert.Panics(t, func() { NewCurve(table) }, name)
	}
}

func TestExtendKeepsTheOldCurveInItsOwnScale(t *testing.T) {
	old := NewCurve(cobaltOxidePouch())
	longer := NewCurve(extend(cobaltOxidePouch(), 4.35, 0.90, 0.98))
	scale := longer.Charge(4.2)
	assert.InDelta(t, 0.87, scale, 0.01, "4.20 V is some 87 % of a charge to 4.35 V")
	for _, z := range []float64{0, 0.2, 0.5, 0.8, 1} {
		assert.InDelta(t, old.Voltage(z), longer.Voltage(z*scale), 1e-9)
	}
	assert.Equal(t, 4.35, longer.Voltage(1))
}
