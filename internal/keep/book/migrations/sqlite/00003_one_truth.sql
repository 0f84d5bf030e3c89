-- +goose Up
-- The report of a result is the one place that keeps what was measured: numbers
-- unrounded, by the names that `check --json` gives them. Results kept before had
-- the report rounded and beside it the pieces' numbers unrounded; those are put
-- into the report here, and the table of pieces makes way for a view of it.
UPDATE result SET report = json_set(report, '$.pieces', json((
    SELECT json_group_array(json(CASE WHEN p.state = 'measured' THEN json_patch(j.value, json_object(
        'length_mm', p.length_mm, 'length_u_mm', p.length_u_mm, 'width_mm', p.width_mm, 'width_u_mm', p.width_u_mm,
        'area_mm2', p.area_mm2, 'area_u_mm2', p.area_u_mm2, 'thickness_mm', p.thickness_mm,
        'weight_g', p.weight_g, 'weight_u_g', p.weight_u_g, 'rice_cover', p.rice_cover, 'taper', p.taper)) ELSE j.value END))
    FROM json_each(result.report, '$.pieces') j JOIN piece p ON p.result_id = result.id AND p.number = json_extract(j.value, '$.number'))))
WHERE EXISTS (SELECT 1 FROM piece WHERE piece.result_id = result.id);

DROP TABLE piece;

-- The pieces of every result: json is the piece as the report has it, such as
-- SELECT json ->> 'length_mm' FROM piece WHERE state = 'measured'.
CREATE VIEW piece (result_id, number, state, verdict, json) AS
    SELECT r.id, json_extract(p.value, '$.number'), json_extract(p.value, '$.state'), json_extract(p.value, '$.verdict'), p.value
    FROM result r, json_each(r.report, '$.pieces') p;
