/**
 * Recordings of complex samples that were decoded before bands were kept stood as sound of two channels, of which one part was
 * played as it is. Of where their middle stood nothing is known any more; decoded again, it is.
 */
export const olderBands = `
update recordings set audio = json_set(audio, '$.channel', null,
  '$.iq', json('{"captures":[{"startSeconds":0,"centerHz":null,"startedAt":null}]}'))
where json_extract(audio, '$.encoding') like 'sigmf c%' and json_type(audio, '$.iq') is null;
`;
