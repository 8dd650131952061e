// Package tour puts tasks in an order in which the way between them is short, and
// chooses where each is begun: a generalised travelling-salesman path. It knows
// points only, no boards, machines or files.
//
// # The problem
//
// An open task has two ends, a closed one several starts, at one of which it is both
// entered and left. Sought are a sequence π, and for each task a start or a sense, so
// that the sum of |exit(π(i)) − entry(π(i+1))| is least, with or without a place where
// the way begins and with or without a return to it. A depot, a task whose sides
// lie at the beginning or nowhere (at distance 0 from all), makes a closed tour of
// each of these. Run the other way round a tour is as long; so a stretch of it may
// be turned round, and only the joints at its two ends change.
//
// # The method
//
//   - Neighbours: for each side those that lie closest, over all starts, from a k-d
//     tree over all points (Bentley 1975).
//   - A first way: always to the nearest task that is left.
//   - Moves: all that exchange two or three joints in succession, with positive
//     partial sums of gains, between neighbours (3-opt; Lin and Kernighan 1973; Or
//     1976), judged on the array of positions before anything is turned; another start
//     of one closed task; one closed task elsewhere with another start. Only tasks
//     whose joints have changed are looked at again (Bentley 1992).
//   - Starts: for a given sequence the best starts and senses together follow exactly,
//     by dynamic programming along it, in time Σ kᵢ·kᵢ₊₁ for kᵢ starts.
//   - Kicks: a double bridge of three short stretches whose ends lie near one another,
//     or other starts of some tasks; what does not make the way shorter is taken back
//     (iterated local search; Martin, Otto and Felten 1991; Johnson and McGeoch 1997;
//     Applegate, Cook and Rohe 2003).
//
// The sources are given from memory.
//
// # What holds
//
// The result is the same on every processor: the generator works on whole numbers,
// steps are counted and not timed, and no product is fused with a sum. Tasks are
// sorted by their points first, so that the sequence in which they come has no
// influence but for rounding and between tasks that coincide (TestPermuted). No way is longer
// than that of the tasks as given with their best starts (TestStarts).
//
// Nothing bounds how far the way is from the shortest. Measured: within one per cent of
// the published optima of four instances (TestPublished), about half a per cent over
// what is known of random points (TestRandomPoints), the shortest in all but a few of 150 cases
// of up to seven tasks (TestShortest). The number of kicks is bounded, so that time grows
// slowly from some 2,000 tasks on, and ways become longer: by two or three per cent.
package tour
