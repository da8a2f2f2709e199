/* A Node.js process that does nothing: the floor that memory is counted from. */
import { tell } from '../shared/outcome';

tell({});
