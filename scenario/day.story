-- A day at Tumbrel Mill, an invented yard. stage/story.py says how to read this, stage/expect.py what may be expected,
-- stage/tally.py which unhappy paths are owed. Nothing in it happened.

say no-forward-way "bay wall ahead, no second door"
say other-side-held "abel holds outside, barrier inside"
say escape-side "pinch is the left jamb; I stand ahead on the right"
say blind-side-watched "walk gate shut on the blind side"
say carrier-held "key 14, in my pocket"
say secured "four chains, both ends looked at"
say ties-named "3 x 1/2 in grade 70 direct front; 3 x 1/2 in grade 70 direct rear"
say stands-on-deck "rear 4 in ahead"
say handed-back "nothing"
say keys-back "key 14, hand to hand"

= Before the shift
# Ten to six at Tumbrel Mill. Nobody has looked at anything yet, and the server knows it.
wren>> whoami
dov>> board
# Tam is early and keen. The server takes the inspection, and the asking, but releases nothing outside a shift.
tam> inspect ST-101 --nothing
nell> ask service-truck-reverses-out ST-103 truck-row --spotter nell
    -> no: law 4
    -> hits self-release
tam>> ask service-truck-reverses-out ST-101 s1-apron --spotter mika
    -> move @little
mika> accept @little --unit ST-102
    -> bad: machine
mika> accept @little --unit ST-101
tam>> release @little
    -> refused: shift-running, inspected-this-shift, and others unasked
clock +10m
dov> shift begin --until 15:00 --title "early shift"
tam> release @little
    -> refused: inspected-this-shift, and others unasked
    -> because inspected-this-shift: "before this shift"
tam> inspect ST-101 --nothing

= The little service truck leaves bay 1
# They look, and find things. A thing found is worth more than a tick: each keeps the truck where it is.
tam> confirm @little no-forward-way --finding "could leave nose first if the van next door moved"
tam> confirm @little brake-and-tags --finding "two keys on the hook, one of them not mine"
tam> confirm @little walk-around --code ZZZ
    -> bad: post_code
tam> confirm @little walk-around --finding "creeper under the rear axle"
tam> confirm @little no-leak --finding "a drip under the hose reel"
tam> confirm @little chocks-in --count 1
mika> confirm @little chocks-in --count 2
mika> confirm @little truck-ready --finding "air line still on"
mika> confirm @little path-walked --finding "hose across the door line"
mika> confirm @little door-open --finding "door stands a foot low"
mika> confirm @little people-clear --finding "parts runner at the corner"
mika> confirm @little spotter-word --code T4K
    -> exit 1
    -> says "given last"
tam>> release @little
    -> refused: no-forward-way, brake-and-tags, walk-around, no-leak, truck-ready, path-walked, door-open, people-clear, chocks-in, and others unasked
    -> because chocks-in: "chocks put down: 2,"
    -> hits chocks missing
# The line drops while Tam gives a word, so he gives it again: one request, one entry, whatever the line does.
tam> confirm @little brake-and-tags --request-id 6f1d6f0e-52a3-4c0e-9a55-0d6a0b1c2d3e
    -> entry $once
tam> confirm @little brake-and-tags --request-id 6f1d6f0e-52a3-4c0e-9a55-0d6a0b1c2d3e
    -> same entry as $once
    -> hits answered once
tam> confirm @little no-leak --request-id 6f1d6f0e-52a3-4c0e-9a55-0d6a0b1c2d3e
    -> bad: request_id
# Everything is put right, and looked at again: one question at a time, by whoever can see it.
crew @little
tam> confirm @little road-ready --finding "last defect report not read yet"
tam> show @little
    -> recorded only: road-ready
# The last report keeps nothing back; it is on record. Everything else is clear.
tam>> release @little
    -> released to the end
mika> moving @little --unit ST-101
    -> exit 4
# Tam climbs into the truck next door.
tam>> moving @little --unit ST-102
    -> no: law 1
    -> says "the release is for ST-101"
    -> hits wrong unit
# The release is gone, and what was looked at is looked at again.
crew @little
tam> release @little
    -> released to the end
tam>> moving @little --unit ST-101
    -> state UNDER WAY
mika> confirm @little belt-on
    -> no: law 10
tam> parked @little
    -> state PARKED
# It is not over when the wheels stop.
tam> confirm @little parked --finding "two feet over the walk line"
tam> confirm @little load-down-and-dry --finding "the drip again, no tray under it"
tam> confirm @little chocks-set --count 2
mika> confirm @little chocks-set --count 1
tam> confirm @little cones-out --count 4
mika> confirm @little cones-out --count 2
mika> confirm @little ground-left-clear --finding "the tail covers the extinguisher"
mika> confirm @little people-counted-again --count 1
mika> confirm @little handed-back --finding "left mirror scratched"
tam>> close @little
    -> refused: parked, load-down-and-dry, chocks-set, cones-out, ground-left-clear, people-counted-again, handed-back, counts-balance
crew @little cones 4
tam> close @little
    -> state CLOSED

= The tyre truck, and whose papers are good
jarle> ask service-truck-reverses-out ST-103 truck-row --spotter ged
    -> move @tyre
jarle> inspect ST-103 --nothing
ged> accept @tyre --unit ST-103
jarle>> release @tyre
    -> refused: driver-authorised, spotter-bound, and others unasked
    -> because driver-authorised: "jarle's authorisation for class service-truck ended on 2026-11-10"
    -> because spotter-bound: "ged's spotter training ended on 2026-10-31"
    -> hits driver lapsed
    -> hits spotter lapsed
dov> name-spotter @tyre bo
bo> accept @tyre --unit ST-103
odo> take-wheel @tyre
    -> hits driver swap
odo> confirm @tyre fit-today --finding "up with a pump all night, slept three hours"
bo> confirm @tyre fit-today
odo> confirm @tyre cones-in --count 0
bo> confirm @tyre cones-in --count 1
odo> release @tyre
    -> refused: fit-today, cones-in, and others unasked
    -> because cones-in: "cones put down: 0,"
dov> accept-gate @tyre fit-today --control "rested first, then creep speed with the yard lead alongside" --reason "had his rest, and I walk alongside"
crew @tyre
odo> release @tyre
    -> released to the end
# The phone rings, and the release is not used.
clock +5m
odo> moving @tyre --unit ST-103
    -> no: law 1
dov> history move @tyre
    -> lapsed: start-window
    -> hits release lapsed
odo> withdraw @tyre --reason "the tyre job is off"
    -> state WITHDRAWN
    -> hits withdrawn

= The lube truck, the walkway and the child
sunniva> ask service-truck-reverses-out ST-102 ready-line --spotter nell
    -> move @lube
sunniva> inspect ST-102 --nothing
nell> accept @lube --unit ST-102
tam> ask service-truck-reverses-out ST-101 street-gate --spotter nell
    -> move @street
nell> accept @street --unit ST-101
    -> no: law 4
    -> hits spotter drafted
sunniva> confirm @lube signals-agreed --finding "we do not mean the same by a raised fist"
sunniva> confirm @lube belt-on --finding "latch sticks"
sunniva> confirm @lube device-away --finding "earphones in"
nell> confirm @lube hi-vis-on --finding "vest torn, no reflective left"
nell> confirm @lube light-enough --finding "lamp over bay 2 is dead"
nell> confirm @lube horn-heard --finding "not heard over the compressor"
nell> confirm @lube spotter-word --finding "not yet: I do not like the light"
dov> confirm @lube ground-and-weather --finding "ice before the walkway"
sunniva>> release @lube
    -> refused: signals-agreed, hi-vis-on, light-enough, ground-and-weather, belt-on, device-away, horn-heard, spotter-word, and others unasked
petra> accept-gate @lube horn-heard --control "we wave" --reason "in a hurry"
    -> no: law 1
petra> accept-gate @lube ground-and-weather --control "way gritted or matted, creep speed" --reason "gritted at six, looked at it"
crew @lube
sunniva>> release @lube
    -> released until walkway
# Sunniva goes back for her gloves.
sunniva> away @lube --distance "30 ft" --in-view
    -> state REQUESTED
    -> hits left unattended
sunniva> release @lube
    -> refused: attended, and others
crew @lube
sunniva> release @lube
    -> released until walkway
sunniva> moving @lube --unit ST-102
sunniva> held @lube --at blind-corner
    -> no: hold point
sunniva> held @lube --at walkway
    -> state HELD
# At the line only the spotter is asked: the driver's hands stay off every device.
sunniva> confirm @lube stopped-at-line
    -> exit 4
nell> confirm @lube stopped-at-line --finding "front wheels over the line"
nell> confirm @lube both-sides-held --finding "the far gate swings open"
nell> confirm @lube word-at-line --code M9R
    -> bad: post_code
nell> confirm @lube word-at-line --finding "I cannot see past the van"
sunniva>> release @lube
    -> refused: stopped-at-line, both-sides-held, word-at-line
crew @lube
sunniva> release @lube
    -> released to the end
sunniva> moving @lube --unit ST-102
# Hester has no part in this move and no role but reading. She sees a child, reads the number on the machine, and stops it.
hester>> stop ST-102 "child at the parts counter"
    -> state STOPPED
    -> hits stop by a reader
    -> hits stop by unit number
sunniva> release @lube
    -> refused: law-restart-word, and others
tam> restart @lube
    -> no: law 5
    -> hits restart refused to a stranger
hester> restart @lube
    -> hits restart by the stopper
crew @lube
sunniva> release @lube
    -> released to the end
sunniva> moving @lube --unit ST-102
sunniva> parked @lube
crew @lube
sunniva> close @lube
    -> state CLOSED

= One door for two, and a server that dies
tam> ask machine-through-door TH-201 yard-cross --spotter bo
    -> move @big
tam> inspect TH-201 --nothing
bo> accept @big --unit TH-201
tam> confirm @big travel-mode --finding "boom a foot too high"
bo> confirm @big door-held-open --finding "curtain not at its stop"
bo> confirm @big other-side-held --finding "nobody outside yet"
bo> confirm @big escape-side --finding "bench on my side, no way to step out"
dov> confirm @big floor-rated --finding "pit cover is off"
ruth> confirm @big exhaust-away --finding "extraction hose is torn"
dov> confirm @big lead-word --finding "visitors in the shop, wait"
tam>> release @big
    -> refused: floor-rated, exhaust-away, travel-mode, door-held-open, other-side-held, escape-side, lead-word, and others unasked
dov> accept-gate @big floor-rated --control "go slow" --reason "the cover is on its way"
    -> no: law 1
petra> accept-gate @big exhaust-away --control "both doors open, engine on for 2 minutes at most" --reason "hose ordered"
crew @big lead dov
bo> release @big
    -> exit 4
tam> release @big
    -> released until door-3
# Odo wants his forklift out of the same door.
odo> ask machine-through-door FL-502 ready-line --spotter mika
    -> move @fork
odo> inspect FL-502 --nothing
mika> accept @fork --unit FL-502
crew @fork
dov> confirm @fork floor-rated
ruth> confirm @fork exhaust-away
dov> confirm @fork lead-word --code H6V
    -> refused: ground-free
odo>> release @fork
    -> refused: ground-free, and others unasked
    -> hits one door for two
tam> moving @big --unit TH-201
tam> held @big --at door-3
    -> state HELD
bo> confirm @big blind-side-watched --finding "nobody at the blind side yet"
tam> release @big
    -> refused: blind-side-watched, and others unasked
crew @big
tam> release @big
    -> released to the end
lio> door moved door-3 "came down a foot by itself"
tam>> release @big
    -> refused: doors-in-service, and others
    -> hits door moved
dov> door return door-3
crew @big
tam> release @big
    -> released to the end
tam> moving @big --unit TH-201
# Somebody trips over the server's plug while the telehandler is in the door.
server kill
tam>> --timeout 0.5 show @big
    -> exit 5
# While it is down: this is a rehearsal's ledger. It cannot be served as a real yard's, nor a real one rehearsed on.
server start-real
    -> exit 2
    -> says "rehearsal"
server start-mixed
    -> exit 2
    -> says "rehearsal"
    -> hits ledgers kept apart
server start
# It comes back with everything that was acknowledged, and with nothing released.
tam>> show @big
    -> says "STOPPED"
    -> says "the service restarted"
    -> hits server killed
tam> restart @big
    -> no: law 5
dov> restart @big
    -> hits restart by a lead
# It had rolled to where it was to go before it stopped. No more motion is asked for.
tam> parked @big
crew @big
tam> close @big
    -> state CLOSED
# Now the forklift. Everything was looked at before the plug was pulled, so everything is looked at again.
crew @fork lead dov
odo> release @fork
    -> released until door-3
dov> name-spotter @fork bo
    -> state REQUESTED
    -> hits spotter swap
bo> accept @fork --unit FL-502
crew @fork lead dov
odo> release @fork
    -> released until door-3
odo> moving @fork --unit FL-502
odo> held @fork --at door-3
crew @fork
odo> release @fork
    -> released to the end
odo> moving @fork --unit FL-502
odo> parked @fork
crew @fork
odo> close @fork
    -> state CLOSED

= The wide excavator
ines> ask machine-through-door EX-301 wash-pad --spotter petra
    -> move @wide
ines> inspect EX-301 --nothing
petra> accept @wide --unit EX-301
ines>> release @wide
    -> refused: door-margins, and others unasked
    -> because door-margins: "tight at door-4"
# Petra is a yard lead, but she spots this one: she is not her own second person.
petra> accept-gate @wide door-margins --control "second spotter at the far side, creep speed, yard lead at the door" --reason "I see it well"
    -> no: law 4
petra> confirm @wide lead-word --code Y1F
    -> exit 4
dov> accept-gate @wide door-margins --control "second spotter at the far side, creep speed, yard lead at the door" --reason "mika at the far side, I stand at the door"
    -> hits tight door accepted
crew @wide lead dov
ines>> release @wide
    -> released until door-4
ines> moving @wide --unit EX-301
ines> held @wide --at door-4
# What the lead accepted is for this door and this machine as taped: at the line nothing has changed, so it stands.
crew @wide
ines> release @wide
    -> released until blind-corner
ines> moving @wide --unit EX-301
petra>> stop @wide --cause lost-sight "she went behind the van"
    -> state STOPPED
    -> hits lost sight
ines> restart @wide
    -> no: law 5
dov> restart @wide
dov> accept-gate @wide door-margins --control "second spotter at the far side, creep speed, yard lead at the door" --reason "she stopped half through, mika and I stand at the door"
crew @wide lead dov
ines> release @wide
    -> released until blind-corner
ines> moving @wide --unit EX-301
ines> held @wide --at blind-corner
# The door lies behind it now: nobody asks about it any more.
crew @wide
ines> release @wide
    -> released to the end
ines> moving @wide --unit EX-301
ines> parked @wide
crew @wide
ines> close @wide
    -> state CLOSED

= The loaders behind the blind door
abel> ask machine-through-door WL-402 s2-bay-3 --spotter mika
    -> move @tall
abel> inspect WL-402 --nothing
mika> accept @tall --unit WL-402
abel> release @tall
    -> refused: ground-free, door-margins, and others unasked
    -> because ground-free: "place s2-bay-3 is full"
    -> because door-margins: "tight at door-5"
# Mika does not like it. She need not say why.
mika>> refuse @tall
    -> state REFUSED
    -> hits refused by a person
dov>> tags
    -> tag $unease on WL-402
abel> tag clear WL-402 $unease
    -> no: tags
dov> tag clear WL-402 $unease
jarle> ask machine-through-door WL-401 ready-line --spotter nell
    -> move @small
jarle> inspect WL-401 --nothing
nell> accept @small --unit WL-401
crew @small lead dov
jarle> release @small
    -> released until door-5
jarle> moving @small --unit WL-401
jarle> held @small --at door-5
crew @small
jarle> release @small
    -> released to the end
jarle> moving @small --unit WL-401
jarle>> breakdown @small "hydraulic line burst on the ring way"
    -> state LEFT STANDING
    -> hits broke down
# The ground under it stays blocked, whoever asks.
ines> ask machine-through-door EX-301 ready-line --spotter bo
    -> move @blocked
bo> accept @blocked --unit EX-301
ines> release @blocked
    -> refused: ground-free, and others unasked
ines> withdraw @blocked --reason "the ring way is blocked"
dov>> clear-ground @small ready-line
    -> hits ground cleared
dov> tags
    -> tag $burst on WL-401
dov> tag clear WL-401 $burst
    -> no: tags
jarle> tag clear WL-401 $burst

= Somebody under the truck
nell> accept @street --unit ST-101
crew @street
tam> release @street
    -> released to the end
ruth> tag hang ST-101 "brake line open, I am under it"
    -> tag $brake
tam>> release @street
    -> refused: no-tags, and others
dov> tag clear ST-101 $brake
    -> no: tags
ruth> tag clear ST-101 $brake
    -> hits tag and its owner
crew @street
tam> release @street
    -> released to the end
tam> moving @street --unit ST-101
# The server is ended in good order for an upgrade, and begun again. It cannot know what rolled meanwhile.
server drain
server start
tam>> show @street
    -> says "STOPPED"
    -> hits server drained
dov> restart @street
tam> parked @street
crew @street
tam> close @street
    -> state CLOSED

= An ambulance
nell> ask service-truck-reverses-out ST-103 truck-row --spotter mika
    -> move @tyre2
mika> accept @tyre2 --unit ST-103
crew @tyre2
nell> release @tyre2
    -> released to the end
nell> moving @tyre2 --unit ST-103
tam> ask machine-through-door TH-201 s2-bay-1 --spotter bo
    -> move @back
bo> accept @back --unit TH-201
crew @back lead dov
tam> release @back
    -> released until door-3
# Lio hosts visitors. One of them is on the floor, and an ambulance is on its way. One word holds the whole yard.
lio>> hold ambulance for the parts counter
dov>> board
    -> says "STOPPED"
    -> hits yard held
tam> release @back
    -> refused: no-yard-hold, and others
lio> lift-hold
    -> no: roles
dov> lift-hold
dov> restart @tyre2
nell> parked @tyre2
crew @tyre2
nell> close @tyre2
    -> state CLOSED
tam> withdraw @back --reason "the bay is wanted for the hire machine"

= What the tape says
# Nobody eyeballs a door here. A number that is missing, old or too small is a no.
odo> ask machine-through-door ST-104 s1-bay-1 --spotter mika
    -> move @crane
odo> release @crane
    -> refused: door-margins, fits-route, goes-under, keeps-clear, and others unasked
    -> because door-margins: "does not fit door-1"
    -> because goes-under: "STOP door-1: 10 in short"
dov> accept-gate @crane door-margins --control "second spotter at the far side, creep speed, yard lead at the door" --reason "it looks fine from here"
    -> no: law 1
    -> hits too tall
odo> withdraw @crane --reason "the crane truck stays out"
odo> ask machine-through-door TH-202 s2-bay-1 --spotter mika
    -> move @jib
odo> release @jib
    -> refused: height-known, width-known, length-known, mass-known, belly-clearance-known, door-margins, fits-route, goes-under, clears-ground, keeps-clear, leaves-free, ground-carries, horn-carries, and others unasked
    -> because height-known: "with jib is unknown"
    -> hits unknown attachment
odo> withdraw @jib --reason "to be taped with the jib on"
odo> ask machine-through-door FL-501 s2-bay-1 --spotter mika
    -> move @parts
odo> release @parts
    -> refused: way-not-too-steep, fits-route, clears-ground, and others unasked
    -> because clears-ground: "WILL GROUND"
    -> because way-not-too-steep: "parts-way grade is 8.4 %; at most 8 %"
    -> hits too steep
odo> withdraw @parts --reason "it goes round on a carrier"
# The bend before the truck row is sharper than the little truck turns. Nobody sees that from the seat.
tam> ask service-truck-reverses-out ST-101 truck-row --spotter mika
    -> move @bend
tam>> release @bend
    -> refused: fits-route, keeps-clear-reversing, leaves-free-reversing, and others unasked
    -> because keeps-clear-reversing: "WILL NOT TURN"
    -> hits will not turn
tam> withdraw @bend --reason "a tech looks at its steering stops first"
ines> ask load-onto-carrier DZ-701 carrier-pad-2 --carrier CA-902 --spotter bo
    -> move @weak
ines> release @weak
    -> refused: mass-within-capacity, and others unasked
    -> because mass-within-capacity: "DZ-701 weighs 41,000 lb, CA-902 carries 20,000 lb"
    -> hits too heavy
ines> withdraw @weak --reason "CA-901 carries it"

= The dozer climbs the lowboy
ines> ask load-onto-carrier DZ-701 carrier-pad-1 --carrier CA-901 --spotter bo
    -> move @dozer
ines> inspect DZ-701 --nothing
bo> accept @dozer --unit DZ-701
dov> confirm @dozer load-plan --finding "axle weights not worked out"
dov> confirm @dozer carrier-stands-right --finding "rear wheels on soft fill"
ines> confirm @dozer ready-to-climb --finding "not in line with the ramps"
ines> confirm @dozer grip-on-the-ramp --finding "mud on both ramps"
bo> confirm @dozer carrier-held --finding "its driver keeps the key"
bo> confirm @dozer carrier-chocked --count 2
bo> confirm @dozer ramps-sound --finding "pin missing on the left ramp"
bo> confirm @dozer nothing-overhead --finding "lamp arm over the deck"
bo> confirm @dozer carrier-driver-in-refuge --finding "its driver stands beside the ramp"
ines>> release @dozer
    -> refused: load-plan, carrier-stands-right, ready-to-climb, grip-on-the-ramp, carrier-held, carrier-chocked, ramps-sound, nothing-overhead, carrier-driver-in-refuge, and others unasked
crew @dozer lead dov
ines>> release @dozer
    -> released until ramp-toe-1
# Meanwhile Dov has taped pad 3 again after the rain, and found that a reading of a deck was dated a year wrong. His first
# try has a number without a unit: the yard in force stays as it is.
yard measurements.csv + "carrier-pad-3 long-slope,3.4,,,dov,2026-11-24T06:02:00Z"
dov>> reload
    -> exit 2
yard measurements.csv: "carrier-pad-3 long-slope,3.4,,,dov" => "carrier-pad-3 long-slope,3.4 %,,,dov"
yard measurements.csv: "CA-903 deck-height,0.95,m,,petra,2026-11-03T06:40:00Z" => "CA-903 deck-height,0.95,m,,petra,2025-11-03T06:40:00Z"
# The wires over the ring way and the row way have come down in the heat, and the way round is dug up, so that nothing heavy
# goes there. The tech has mended the truck's steering stops.
yard measurements.csv + "wash-way rated-mass,40000 lb,,,petra,2026-11-24T06:02:00Z"
yard measurements.csv: "ST-104 belly-clearance,11 in,,crane,dov,2026-08-11" => "ST-104 belly-clearance,11 in,,crane,dov,2025-08-11"
yard measurements.csv: "ring-wire headroom,27 ft 6 in" => "ring-wire headroom,13 ft 6 in"
yard measurements.csv: "row-wire headroom,34 ft 0 in" => "row-wire headroom,13 ft 6 in"
yard measurements.csv: "ST-101 turning-radius,25 ft" => "ST-101 turning-radius,24 ft"
dov> reload
ines> show @dozer
    -> state REQUESTED
    -> hits yard reloaded
ines> ask load-onto-carrier EX-302 carrier-pad-3 --carrier CA-903 --spotter mika
    -> move @old
ines>> release @old
    -> refused: height-known, width-known, length-known, mass-known, belly-clearance-known, mass-within-capacity, deck-height-known, level-across, level-along, fits-route, goes-under, clears-ground, keeps-clear, leaves-free, ground-carries, horn-carries, light-reaches, axles-legal, and others unasked
    -> because light-reaches: "TOO DARK"
    -> hits old reading
ines> withdraw @old --reason "tape it first, and on another pad"
# Nobody has been under the crane truck with a tape for a year: what it clears rear first is not known any more.
odo> ask service-truck-reverses-out ST-104 s1-apron --spotter mika
    -> move @under
odo> release @under
    -> refused: goes-under-reversing, clears-ground-reversing, wires-clear-reversing, and others
odo> withdraw @under --reason "to be taped"
ines> ask machine-through-door EX-301 ready-line --spotter mika
    -> move @wire
ines>> release @wire
    -> refused: fits-route, wires-clear, ground-free, and others unasked
    -> because wires-clear: "KEEP OUT"
    -> hits wire too near
ines> withdraw @wire --reason "the owner of the line is called"
# The wire over the row way is pulled up again. The rain of the night is in the ring way, and the lead rates it down. The
# other way is filled in again, and the next move goes the longer way round by itself.
yard measurements.csv + "wash-way rated-mass,120000 lb,,,petra,2026-11-24T06:04:00Z"
yard measurements.csv: "row-wire headroom,13 ft 6 in" => "row-wire headroom,34 ft 0 in"
yard measurements.csv + "ring-way rated-mass,40000 lb,,,petra,2026-11-24T06:05:00Z"
dov> reload
ines> ask machine-through-door EX-301 ready-line --spotter mika
    -> move @round
ines> show @round
    -> says "blind-corner"
    -> hits the longer way
ines> withdraw @round --reason "after the dozer"
crew @dozer lead dov
ines> release @dozer
    -> released until ramp-toe-1
ines> moving @dozer --unit DZ-701
ines> held @dozer --at ramp-toe-1
crew @dozer
ines> release @dozer
    -> released to the end
ines> moving @dozer --unit DZ-701
ines> parked @dozer
# Where to stand it was said at the start. It stands too far back, and the tape says so.
bo> confirm @dozer stands-on-deck --note "in the middle, by eye"
    -> bad: note
bo> confirm @dozer stands-on-deck --note "rear 4 ft 0 in behind"
ines>> close @dozer
    -> refused: axles-as-stood, counts-balance, and others unasked
    -> because axles-as-stood: "FORWARD: axles 4 to 5"
    -> hits axles over
bo> confirm @dozer stands-on-deck --note "rear 4 in ahead"
# Four chains are on, and four are asked for. What they hold together is less than half the dozer.
bo> confirm @dozer secured --note "four chains, both ends looked at"
bo> confirm @dozer ties-named --note "four good ones"
    -> bad: note
bo> confirm @dozer ties-named --note "2 x 3/8 in grade 70 direct front; 2 x 3/8 in grade 70 direct rear"
ines>> close @dozer
    -> refused: load-holds, counts-balance, and others unasked
    -> because load-holds: "SHORT 7,505 lb"
    -> hits chains too few
# Strong enough together, and all of them at one end: nothing holds it back when the carrier brakes.
bo> confirm @dozer ties-named --note "6 x 1/2 in grade 70 direct front-mounting-point"
ines>> close @dozer
    -> refused: load-holds, counts-balance, and others unasked
    -> because load-holds: "TIE the rear: 0 there, 2 needed"
    -> hits nothing ties the rear
# Bigger chains at both ends, and the binders are the carrier's own: the weakest part counts.
bo> confirm @dozer ties-named --note "2 x 1/2 in grade 70 direct front; 2 x 1/2 in grade 70 direct rear"
ines>> close @dozer
    -> refused: load-holds, counts-balance, and others unasked
    -> because load-holds: "SHORT 2,305 lb, held back by its binder"
    -> hits binders too weak
bo> confirm @dozer stands-on-deck --finding "taped from the wrong edge"
bo> confirm @dozer ties-named --finding "bigger ones are on; the mark of one cannot be read"
bo> confirm @dozer secured --finding "three chains on, the fourth has no mark"
bo> confirm @dozer ramps-stowed --finding "left ramp not pinned"
ines> confirm @dozer carrier-chocks-in --count 4
bo> confirm @dozer carrier-chocks-in --count 3
bo> confirm @dozer keys-back --finding "the carrier's driver wants it before the last chain"
dov> confirm @dozer load-told --finding "no card written yet"
dov> show @dozer
    -> recorded only: load-told
ines>> close @dozer
    -> refused: stands-on-deck, secured, ties-named, ramps-stowed, carrier-chocks-in, keys-back, counts-balance, and others unasked
    -> hits keys not back
crew @dozer lead dov
ines> close @dozer
    -> state CLOSED

= The end of the early shift
clock +8h30m
odo> ask load-onto-carrier SS-601 carrier-pad-2 --carrier CA-902 --spotter mika
    -> move @skid
odo> inspect SS-601 --nothing
mika> accept @skid --unit SS-601
crew @skid lead petra
odo> release @skid
    -> released until ramp-toe-2
odo> moving @skid --unit SS-601
clock +12m
sunniva> ask service-truck-reverses-out ST-102 s1-apron --spotter nell
    -> move @late
nell> accept @late --unit ST-102
sunniva> release @late
    -> refused: shift-running, ground-free, and others unasked
    -> because shift-running: "the shift ends in"
sunniva> withdraw @late --reason "tomorrow"
# The skid steer is still out when the shift ends. A release never crosses it.
clock +15m
odo>> show @skid
    -> says "STOPPED"
    -> says "the shift ended"
    -> hits shift end
petra> shift begin --until 22:00 --title "late shift"
petra> restart @skid
odo> release @skid
    -> refused: inspected-this-shift, and others
odo> inspect SS-601 --nothing
crew @skid lead petra
odo> release @skid
    -> released until ramp-toe-2
odo> moving @skid --unit SS-601
odo> held @skid --at ramp-toe-2
crew @skid
odo> release @skid
    -> released to the end
odo> moving @skid --unit SS-601
odo> parked @skid
crew @skid lead petra
odo> close @skid
    -> state CLOSED

= Two that simply go
# Most moves are like these: asked, looked at, released, parked, closed.
nell> ask service-truck-reverses-out ST-103 s1-apron --spotter bo
    -> move @home
nell> inspect ST-103 --nothing
bo> accept @home --unit ST-103
crew @home
nell> release @home
    -> released to the end
nell> moving @home --unit ST-103
nell> parked @home
crew @home
nell>> close @home
    -> state CLOSED
clock +3h28m
tam> ask service-truck-reverses-out ST-101 truck-row --spotter mika
    -> move @last
tam> inspect ST-101 --nothing
mika> accept @last --unit ST-101
# Mika looks along the way while the sun is high enough. Twenty minutes later it stands low over the truck row, and what
# was said about the light was said before: somebody looks again.
mika> confirm @last light-enough
clock +20m
tam>> release @last
    -> refused: light-reaches, and others unasked
    -> because light-reaches: "GLARE AHEAD on row-way"
    -> hits low sun
mika> confirm @last light-enough
crew @last
tam> release @last
    -> released to the end
tam> moving @last --unit ST-101
tam> parked @last
crew @last
tam> close @last
    -> state CLOSED

= The desk
wren> token revoke $jarle-token
jarle> whoami
    -> exit 4
    -> hits token revoked
dov>> history move @tall
dov>> history moves --loading
wren>> history summary
dov>> board
