package note

// vocabulary lists the words and phrases of each class. Apostrophes are left
// out and hyphens between words are spaces.
var vocabulary = []struct {
	class class
	words string
}{
	{push, `
		push, pushed, pushing, push process, push processed, push processing, push development, push dev,
		push proc, plus development, plus dev, overdevelop, overdeveloped, overdevelopment, over develop,
		over developed, overdev, over dev, overprocess, overprocessed, over process, over processed,
		over development, pushen, pousser, poussez, forzar, forzado`},
	{pull, `
		pull, pulled, pulling, pull process, pull processed, pull processing, pull development, pull dev,
		minus development, minus dev, underdevelop, underdeveloped, underdevelopment, under develop,
		under developed, underdev, under dev, underprocess, underprocessed, under process, under processed,
		under development`},
	{push | pull, `push pull`},
	{unit, `stop, stops, stp, stps, fstop, fstops, f stop, f stops, ev, evs, blende, blenden, diaph, diaphs, paso,
		pasos`},
	{shot, `
		shot, shoot, shooting, shooted, sht, rated, rate, rating, metered, meter, metering, exposed, expose,
		exposing, taken, took, used, set, dialled, dialed, uprated, uprate, downrated, photographed, camera, dial,
		dx, light meter, lightmeter, belichtet`},
	{index, `iso, asa, ei, e i, exposure index, film speed, isos, i s o`},
	{develop, `
		dev, devs, devd, deved, develop, developed, developing, development, developer, devel, process, processed,
		processing, proc, procd, soup, souped, treat, treated, treatment, run,
		entwickeln, entwickelt, entwicklung, développer, développement, developper, developpement, revelar, revelado`},
	{process, `c41, e6, ecn2, bw`},
	{normal, `
		normal, normally, standard, regular, regularly, straight, usual, usually, default, plain, ordinary, typical,
		straightforward, as is, as it is, normals, leave it normal, leave normal, leave as normal, leave it as normal, keep it normal,
		keep normal`},
	{normal, `
		no change, no changes, no special treatment, no special processing, nothing special, no adjustment,
		no adjustments, nothing fancy, unpushed, un pushed, nothing extra, no alterations, box development, box dev`},
	{filler, `
		straight away, straight from, straight into, usual address, usual suspects, as well, no problem, no worries,
		no rush, no hurry, not forget, not forgetting, dont forget, do not forget, didnt forget, not to forget,
		never forget, cant wait, can not wait, cannot wait, no doubt, not only, not too fussed, no thanks to,
		please note, no idea why, not urgent, no need to rush, not in a rush, not in a hurry`},
	{box, `
		at box, at box speed, as box speed, for box, for box speed, box speed, boxspeed, shot box, shot box speed, rated box, rated box speed, box iso, box asa, box ei,
		box rating, native iso, native speed, nominal speed, label speed, stated speed, its box, box spd, box sped,
		bxo speed`},
	{not, `
		no, not, dont, doesnt, didnt, isnt, wasnt, wont, shouldnt, neednt, havent, hasnt, arent, werent, wouldnt,
		never, without, neither, nor, non, no need to, no need for, rather not, nope, nah, dotn, donot, nto, cannot,
		not required, unnecessary, kein, keine, keinen, nicht, pas de, sin, geen, niet, senza, ne pas,
		nothing to, under no circumstances, on no account, by no means, no way, no reason to,
		dont you dare, do not dare, dont believe in, not a fan of, hate, hates`},
	{cancel, `
		cancel, skip, ignore, forget, avoid, drop, scrap, remove, disregard, leave out, never mind, nevermind,
		forget about, instead of, rather than, scratch, omit, refrain from, strike, strike that`},
	{under | exposed, `
		underexposed, underexpose, underexposing, underexposure, under exposed, under expose, under exposure,
		underrated, under rated`},
	{over | exposed, `
		overexposed, overexpose, overexposing, overexposure, over exposed, over expose, over exposure, overrated,
		over rated`},
	{under, `under, underneath, too dark, below`},
	{over, `over, above`},
	{faster, `faster, fast, quicker, higher`},
	{slower, `slower, slow, lower`},
	{more, `
		more, longer, increase, increased, boost, boosted, raise, extend, extended, extra, additional, add,
		stronger, plus`},
	{less, `less, shorter, reduce, reduced, cut, shorten, decrease, lower, weaker, minus`},
	{match, `
		accordingly, to match, to suit, to compensate, compensate, compensating, compensated, adjust,
		make up for it, make up for that, allow for it, allow for that, allow for this, as shot, as rated,
		as exposed, as metered, to correct, correct for, correct it, as necessary for that`},
	{vague, `
		a bit, bit, a little, little, slightly, a touch, touch, a tad, tad, some, a couple, couple, a few, few,
		several, a lot, lots, as far as, heavily, hard, gently, somewhat`},
	{hedge, `
		maybe, i suppose, suppose, mabye, perhaps, possibly, might, may need, may want, may have, may be, could need, could be, i think,
		think, thinking, i guess, guess, guessing, probably, prob, i believe, i reckon, not sure, unsure,
		wasnt sure, im not certain, not certain, cant remember, dont remember, forgot, forgotten, dont know, dunno,
		no idea, no clue, not convinced, im not sure, supposedly, unless, depends, depending, wondering,
		supposed to be, i assume, presumably, might have, must have, hopefully, was going to,
		we were going to, was gonna, was planning, we were planning, had planned, planned to, planned on, intended, had intended,
		was thinking of, thought about, thought of, was considering, considered, was tempted, or not, or is, or does, or should, or do,
		had hoped, id hoped, had wanted, would have loved, would have liked, id have loved, id have liked`},
	{leave, `
		you did last time, did last time, you did before, like before, whatever, up to you, your call, your choice,
		your judgement, your judgment, best judgement, best judgment, you decide, you think, do you think, do you agree,
		you see fit, your discretion, as you like, what do you recommend, your recommendation, you recommend,
		recommend, advise, advice, your opinion, you reckon, suggest, worth it, is it worth, worth pushing,
		would it help, best guess, you choose, you know best, your experience, trust you, leave it to you,
		as needed, as required, as necessary, where needed, same as last time, same as before, same as always,
		the usual please, usual please, same again, like last time, as last time, as before, as always, discuss`},
	{polite, `
		if possible, if poss, if you can, if you could, if thats ok, if thats okay, if that is ok, if thats alright,
		if thats all right, if u can, if you dont mind, if you would, if you will, if its not too much trouble,
		if i may, if thats possible, if it is possible, if thats fine, please, pls, plz, plse, pleas,
		please and thank you, can you, could you, would you, will you, can u, could u, can i get, can i have,
		could i get, could i have, may i have, may i get, can we have, can we get, could we, can we, would you mind, would u mind, would u, u mind,
		can you guys, any chance you could, any chance you can, any chance of, would it be ok, would it be okay,
		would it be alright, would it be possible, do you mind, id like, i would like, i want, kindly, thanks, thank you, cheers, ta,
		thx, bitte, svp, por favor, danke, merci, gracias, grazie`},
	{inCamera, `
		in camera, in the camera, incamera, when shooting, while shooting, at exposure, when i shot, in metering,
		when metering, while metering, on the meter, on the camera, on the dial, compensation dial,
		bellows, bellows factor, reciprocity, filter factor, teleconverter`},
	{reject, `instead of, rather than, not at, as opposed to`},
	{roughly, `
		about, around, approx, approximately, roughly, circa, nearly, almost, up to, at least, at most, max,
		maximum, minimum, min of, no more than, not more than, more than, less than, ish, or so, or more, or less,
		or thereabouts, somewhere, between, anywhere, close to, upto`},
	{relative, `another, extra, more, additional, further`},
	{correction, `
		i mean, i meant, actually, scratch that, no wait, wait, oops, correction, make that, make it,
		changed my mind, on second thoughts, on second thought, or rather, sorry, edit, update`},
	{takeback, `
		decided against, decided not to, changed my mind, thought better of it, leave it out, didnt in the end,
		not any more, not anymore, forget it, ignore that, ignore it, ignore this, scrap that, cancel that, skip that, forget that,
		forget this, ignore all that, better not, crossed out, struck out, strike that, kidding, just kidding, joking, jk`},
	{push | hedge, `
		usually push, normally push, always push, often push, would have pushed, wouldve pushed, id have pushed,
		could have pushed, couldve pushed, should have pushed, shouldve pushed`},
	{pull | hedge, `
		usually pull, normally pull, always pull, often pull, would have pulled, wouldve pulled, id have pulled,
		could have pulled, couldve pulled, should have pulled, shouldve pulled`},
	{push | polite, `mind pushing`},
	{push | past, `
		usually pushed, normally pushed, always pushed, often pushed, used to push, he pushed, she pushed, they pushed,
		friend pushed, dad pushed`},
	{pull | past, `
		usually pulled, normally pulled, always pulled, often pulled, used to pull, he pulled, she pulled, they pulled,
		friend pulled`},
	{past, `
		last time, last roll was, previous, previously, last one was, last batch, last month, last week, last order,
		other lab, next time, next roll, next one`},
	{partly, `
		half the roll, half of the roll, half the film, half of it, half of the film, half of this,
		half of the frames, half the frames, half of these, half of those, half of them, half of my, half of the,
		half these, half those, half them, half my, half roll, half my roll, half this roll, halfway, half way, first half,
		second half, other half, latter half, one half, half was, half were, half at, half is, half and half,
		last half, some frames, some of, a few frames, some shots, few frames, part of, most of, mostly, last few,
		first few, a couple of frames, one of, only the, only push, everything but, all but, anything but, just the,
		except, apart from, first frames, last frames, from frame, frames from, mid roll, midroll, until frame,
		after frame, remaining, remainder, then switched, then changed, the one with,
		the ones with, the ones in, the one marked, the ones marked, the roll marked, the rolls marked, the roll with, the rolls with,
		rolls with, rolls marked, the marked, switched to, changed to`},
	{other, `
		leave, leaving, the rest, rest of, other roll, other rolls, the other, other one, other ones, others,
		the remaining, the second one, another one`},
	{whole, `
		both, all, across the board, every, each, whole, entire, everything, all of it, all of them, whole roll,
		the whole roll, entire roll, whole lot`},
	{ordinal, `first, second, third, fourth, last`},
	{counted, `test strip, test strips, 
		roll, rolls, film, films, shots, frames, frame, exp, exps, exposures, exposure, pics, pictures, photos,
		photo, images, prints, print, copies, copy, sets, set of, sheets, sheet, negs, negatives, strips, people,
		persons, canisters, canister, cassettes, cassette, spools, spool, envelopes, envelope, cameras, camera,
		lenses, bags, bag, boxes, orders, items, packs, pack, discs, cds, usb, of, kids, children, days, weeks,
		months, years, year, yrs, yr, day, week, hours, hour, hrs, hr, mins, min, minutes, minute, secs, sec,
		seconds, nights, parcels, parcel, scans, files, tiffs, jpegs, rolls of, cats, dogs, friends, sleeves,
		contact sheets, exp roll, exp rolls, cuts, pieces, other rolls, other films, more rolls, tests, batches`},
	{label, `
		roll, rolls, frame, frames, film, order, ref, reference, num, qty, quantity, count, invoice, job, ticket, bag, envelope, flat,
		unit, room, apt, apartment, suite, floor, customer, account, acct, twin check, twincheck, canister, version,
		building, house, locker, batch, studio, gate, platform, bus, route`},
	{measure, `
		mm, cm, m, km, ft, feet, foot, inch, inches, metres, meters, metre, mtrs, yards, miles, mile, mph, kmh, kph,
		dpi, ppi, lpi, px, pixels, pixel, mp, mpx, megapixel, megapixels, mb, gb, kb, bit, fps, k, kelvin, c, f,
		celsius, fahrenheit, degrees, degree, deg, percent, am, pm, oclock, h, hrs, s, sec, ms, ml, l, litre,
		litres, liter, g, kg, grams, gbp, usd, eur, euros, euro, pounds, pound, quid, dollars, dollar, bucks, pence,
		nm, hz, khz, w, watts, watt, v, volts, x, ths, year old, years old, yo, mired, mireds, tiff, jpg, jpeg, lux,
		star, stars, spm, rpm, megs, ppm, hundredths, d, t`},
	{street, `
		street, road, rd, avenue, ave, lane, ln, blvd, boulevard, drive, terrace, crescent, highway, mews, st`},
	{place, `
		close, court, ct, square, sq, place, pl, way, row, hill, gardens, park, quay, grove, yard, wharf, walk,
		green, view, rise, house, dr, parade, gate`},
	{month, `
		january, february, march, april, june, july, august, september, october, november, december, jan, feb, mar,
		apr, jun, jul, aug, sept, sep, oct, nov, dec, may, monday, tuesday, wednesday, thursday, friday, saturday,
		sunday, mon, tue, tues, wed, thu, thur, thurs, fri, sat, sun`},
	{year, `
		in, since, from, expired, expiry, exp, expires, dated, summer, winter, spring, autumn, fall, circa, year,
		christmas, xmas, easter, best before, out of date, date, early, late, around, before, copyright, made in,
		during`},
	{telephone, `
		call, phone, tel, telephone, text, ring, mobile, mob, cell, whatsapp, fax, sms, number, ph, reach me,
		contact`},
	{topic, `
		scan, scans, scanned, scanning, scanner, rescan, print, prints, printed, printing, printer, enlarge,
		enlargement, enlargements, jpeg, jpegs, tiff, tiffs, file, files, resolution, res, dpi, sleeve, sleeved,
		sleeves, cut, uncut, contact sheet, contact sheets, contacts, post, posted, postage, deliver, delivery,
		delivered, collect, collection, collected, pickup, pick up, pick, ready, send, sending, mail, email, e mail,
		invoice, pay, paid, price, address, call, phone, ring, ship, shipping, courier, open, closed, arrive,
		arriving, meet, return, dropbox, upload, download, link, usb, cd, colour correct, color correct, retouch,
		cost, costs, costing, how much, charge, fee, fees, budget, brightness, brighter, darker, density, crop,
		border, borders, paper, gloss, glossy, matte, tonight, tomorrow, o clock, deadline, wedding starts, come by,
		drop off, dropping off`},
	{elsewhere, `
		contact sheet, contact sheets, contacts, proof sheet, test strip, test strips, notification, notifications, button, chair, chairs,
		pin, pins, bike, cart, up, ups, back, through, forward, off, out, together, shadow, shadows, highlight,
		highlights, blacks, whites, mids, midtones, colour, colours, color, colors, saturation, contrast, warmth,
		tones, tone, door, date, deadline, delivery, appointment, queue, letterbox, negatives, negative, negs, neg,
		leader, tab, frame, frames, print, prints, proof, proofs, strip, strips, file, files, sleeve, sleeves,
		trigger, shutter, luck, muscle, plug, apart, scan, scans, rod, bar, me to, me into, us to, us into, rewind, lever, crank, selects, best, keepers, over, away,
		flash, strobe, speedlight, service, effort, exposure slider, slider, curves, cord, pram, pull tab, levels, limits, boundaries, wire, trolley, swing`},
	{tone, `
		shadow, shadows, highlight, highlights, blacks, whites, mids, midtones, colour, colours, color, colors,
		saturation, contrast, warmth, tones, tone, levels, curves, slider, brightness`},
	{inScan | topic | elsewhere, `
		in post, in editing, in the edit, in edit, in scan, in scans, in the scan, in the scans, in scanning,
		in the scanning, when scanning, when you scan, when scanned, while scanning, during scanning, at scanning,
		in print, in printing, in the print, in the prints, when printing, when you print, digitally, in software,
		on the scan, on the scans, on scans, on the print, on the prints, on prints`},
	{elsewhere | topic, `
		pushpin, pushpins, push pin, push pins, push chair, push chairs, push bike, push ups, pushchair, pushchairs, pushbike, pushups, pullover, pullup, pullups, pullout, pushy`},
	{film, `
		roll, rolls, film, films, it, one, ones, them, these, this, that, stock, canister, cassette, sheet, sheets,
		speed, reel, batch, lot, stuff, cartridge, pack`},
	{filler, `
		a, an, the, my, our, your, their, its, is, was, were, are, be, been, being, am, i, im, ive, id, ill, we,
		weve, you, u, he, she, they, me, us, him, her, do, does, did, done, have, has, had, having, get, got,
		getting, need, needs, needed, needing, want, wants, wanted, wanting, require, requires, required, like,
		liked, would, will, shall, should, must, can, could, of, by, in, on, with, w, so, too, very, really, just,
		also, again, now, only, simply, any, give, given, giving, apply, applied, ask, asking, asked, request,
		requested, requesting, note, notes, instruction, instructions, amount, level, setting, bother, setup, value, factor,
		special, hi, hello, hey, dear, team, all, both, here, there, as, at, to, for, because, since, which, what,
		who, when, while, during, whole, thing, way, time, total, please, pls, plz, thanks, thank, cheers, ok, okay,
		yes, yep, yeah, well, good, great, lovely, hope, make, sure, certain, see, let, know, going, go, gone,
		using, use, wish, prefer, preferably, ideally, each, every, everything, entire, same, kind, sir, madam,
		folks, guys, full, single, exactly, precisely, happy, ready, still, even, definitely, pretty, forgot to,
		forgotten to, forgetting to, certainly, absolutely, strictly, today, anyway, regardless, nonetheless, intentionally, purposely, deliberately,
		accidentally, mistakenly, accident, mistake, purpose, desired, under circumstances, necessary, dx, worth, instead, fine`},
	{joins, `and, but, then, plus, however, while, though, although, because, so, n`},
	{either, `or`},
	{toward, `
		to, at, as, for, like, towards, auf, as if, as though, as if shot at, as if rated at, as if it was shot at,
		as if it were shot at, as if shot, as if rated, as if i shot it at, like it was, like it was shot at,
		as if it was, as if exposed at, as if exposed`},
	{zero, `
		none, nil, zero, nothing, na, n a, nought, naught, null, neither, unnecessary, nope, not required,
		not needed`},
	{plus, `plus`},
	{minus, `minus`},
	{condition, `if, in case, unless, provided, assuming, should it, only if, whether`},
	{zone, `n`},
	{brief, `p`},
	{article, `a, an`},
	{aperture, `f`},
	{reported, `
		says, told, tells, thinks, suggested, suggests, reckons, insists, insisted, claims, claimed, heard,
		i read, swears`},
	{push | hedge, `pushes`},
	{pull | hedge, `pulls`},
}
