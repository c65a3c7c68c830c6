/**
 * SQL that joins to a row `u` of `space_use` or `outlet_use` who has it: `stay` (its id, state, boat and boat's name),
 * `h` (holding), `o` (out of service) and, for space, `g` (group). The LIMIT keeps the planner from reading every assignment there ever was
 * where it takes the few rows of a period for many.
 */
export const usersJoined = (table: 'space_use' | 'outlet_use') => `LEFT JOIN LATERAL (
      SELECT s.id, s.state, b.id AS boat_id, b.name AS boat_name FROM assignment a
      JOIN stay s ON s.marina_id = a.marina_id AND s.id = a.stay_id
      JOIN boat b ON b.marina_id = s.marina_id AND b.id = s.boat_id
      WHERE a.marina_id = u.marina_id AND a.id = u.assignment_id LIMIT 1
    ) stay ON true
    LEFT JOIN holding h ON h.marina_id = u.marina_id AND h.id = u.holding_id
    LEFT JOIN out_of_service o ON o.marina_id = u.marina_id AND o.id = u.out_of_service_id
    LEFT JOIN stay_group g ON g.marina_id = u.marina_id AND g.id = ${table === 'space_use' ? 'u.group_id' : 'NULL'}`;

/** Pairs of `json_build_object` that name the user: kind, id and label. */
export const usedBy = `'kind', CASE WHEN u.assignment_id IS NOT NULL THEN 'assignment'
      WHEN u.holding_id IS NOT NULL THEN 'holding' WHEN g.id IS NOT NULL THEN 'group' ELSE 'outOfService' END,
    'id', coalesce(u.assignment_id, u.holding_id, g.id, u.out_of_service_id),
    'label', coalesce(stay.boat_name, h.holder_name, g.name, o.reason)`;
