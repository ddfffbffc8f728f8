package rigging

import "strings"

// cautions are printed in every brief, each once. They are common practice,
// unless they name a source.
func cautions() []string {
	return []string{
		"This is a plan to think with. It gives nobody leave to move anything: local codes, and the judgement of licensed and experienced people who see the load, the floor and the vehicle, go before every figure here.",
		"A weight is as good as its grounds. Stated weights have been found a quarter and more too low: weigh what can be weighed, and plan with the upper figure.",
		"Nobody stands below a load on a ramp, on steps or in a sling, or between it and a wall; no hand or foot goes under it. If it goes, let it go.",
		"Cast iron breaks. Lift and lash by frame, base or skid; never by shaft, flywheel, handle, feed board, bed ways or cylinder.",
		"Presses are top heavy, and platens lean to the flywheel side. Keep them low and upright, roll slowly, and never let one lean on a hand.",
		"A tiedown is as strong as its weakest part: strap, ratchet, hook, anchor. Go by the tag; leave out what is worn or cut. Stop after the first few miles and tighten everything.",
		"A sling has a tag: go by it. Guard it at every edge. Below 30 degrees from the horizontal do not lift.",
		"A liftgate is the worst way up: one restoration shop has had two fail with a press on them. A dock, a long ramp or a forklift with its own driver is better.",
		"The payload is on the vehicle's own sticker or papers, and crew, fuel, skids, timber and straps are part of it.",
		"The securement rules bind commercial vehicles; private ones fall under state law. Take them as the least that will do. They were read in the 2015 edition: check today's text.",
	}
}

// notCovered is what the method says nothing about, in every brief.
func notCovered() []string {
	beyond := make([]string, 0, len(circumstanceWords))
	for c := range Circumstance(len(circumstanceWords)) {
		beyond = append(beyond, c.String())
	}
	last := len(beyond) - 1
	return []string{
		"The lifting limits are for one person, two hands, now and then, on a good floor. They do not cover " +
			strings.Join(beyond[:last], ", ") + " or " + beyond[last] + ".",
		"Nobody has inspected the floor, the steps, the ramp, the deck, the anchors, the hoist or the beam it hangs from. A design load is not what a floor carries today.",
		"Centres of gravity, bases and the outsides of classes are guesses; the lever rule knows the axles and not their ratings, the hitch or the tyres.",
		"Roads, bridges, permits, weather, what else the law asks of a driver, insurance and the law of other countries.",
		"Setting up and running again: wiring, guards, levelling. Ask a competent person before anything turns.",
		"Taking out asbestos, mercury, PCB or lead paint.",
	}
}
