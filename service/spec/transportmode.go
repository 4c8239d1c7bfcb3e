package spec

// TransportMode says how packs travel.
type TransportMode string

const (
	AirCarryOn TransportMode = "air_carry_on" // a passenger's cabin baggage
	AirChecked TransportMode = "air_checked"  // a passenger's checked baggage
	AirCargo   TransportMode = "air_cargo"    // shipped by air
	Road       TransportMode = "road"         // shipped or driven by road
)

// Enum lists the modes.
func (TransportMode) Enum() []string {
	return []string{string(AirCarryOn), string(AirChecked), string(AirCargo), string(Road)}
}

// Passenger reports whether the packs travel with a passenger by air.
func (m TransportMode) Passenger() bool { return m == AirCarryOn || m == AirChecked }

// Air reports whether the packs fly.
func (m TransportMode) Air() bool { return m.Passenger() || m == AirCargo }
