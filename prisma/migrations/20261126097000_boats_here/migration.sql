-- Boats that are here, of which some should have left: asked for with every judgement of a berth.
CREATE INDEX stay_arrived ON stay (marina_id, id) WHERE state = 'arrived';
